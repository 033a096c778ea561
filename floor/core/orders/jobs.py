"""Jobs: taking one, putting it on hold, giving it up, as events.

Never records: the facts it returns become true when the ledger has them.
"""

from collections.abc import Iterator
from datetime import datetime

from msgspec import Struct

from floor.core.cost.quote import quoted_lines
from floor.core.state.floor import Floor
from floor.core.state.job import Job
from shared.codes import CodeType, make
from shared.events.jobs import JobAdded, JobCancelled, JobHeld, JobReleased, PieceOpened
from shared.events.recorded import Fact
from shared.files.jobfile import JobFile, route_of
from shared.files.near import did_you_mean
from shared.files.shop import Shop
from shared.route import Factors
from shared.wish import NotPossible


class Taken(Struct, frozen=True):
    """A job that was taken, the codes of its pieces, and the facts to be recorded."""

    job: str
    pieces: tuple[str, ...]
    added: JobAdded
    facts: tuple[Fact, ...]


def take(floor: Floor, shop: Shop, file: JobFile, now: datetime) -> Taken:
    """A job from its file: quoted, and a piece opened, with its code and its route, for each that was ordered."""
    job = f"J{len(floor.jobs) + 1:04d}"
    factors = floor.supplies.ink.factors_at(now)
    added = JobAdded(
        job=job,
        customer=file.customer,
        due=file.due_in(shop.file.shop.zone),
        currency=shop.currency,
        lines=quoted_lines(file, shop, factors),
    )
    pieces = tuple(_pieces(floor, shop, file, job, factors))
    events: tuple[JobAdded | PieceOpened, ...] = (added, *pieces)
    facts = tuple(Fact(event=event, occurred_at=now) for event in events)
    return Taken(job, tuple(piece.piece for piece in pieces), added, facts)


def _pieces(floor: Floor, shop: Shop, file: JobFile, job: str, factors: Factors) -> Iterator[PieceOpened]:
    serial = floor.opened
    for number, line in enumerate(file.lines, start=1):
        route = route_of(line, shop, factors)
        sizes = [size for size, quantity in line.sizes.items() for _ in range(quantity)]
        for n, size in enumerate(sizes, start=1):
            serial += 1
            code = make(CodeType.PIECE, serial)
            yield PieceOpened(piece=code, job=job, line=number, number=n, size=size, route=route)


def hold(floor: Floor, job: str, why: str, now: datetime) -> Fact:
    """Stop work on a job for now. Raises NotPossible."""
    if _open_job(floor, job).held:
        raise NotPossible(f"{job} is on hold already. To go on with it: piecewalk job release {job}")
    return Fact(event=JobHeld(job=job, why=why), occurred_at=now)


def release(floor: Floor, job: str, now: datetime) -> Fact:
    """Go on with a held job. Raises NotPossible."""
    if not _open_job(floor, job).held:
        raise NotPossible(f"{job} is not on hold. Nothing to do.")
    return Fact(event=JobReleased(job=job), occurred_at=now)


def cancel(floor: Floor, job: str, why: str, now: datetime) -> Fact:
    """Give a job up, and its open pieces with it. Raises NotPossible."""
    if _open_job(floor, job).finished:
        raise NotPossible(f"{job} has no open piece left to give up. Nothing to do.")
    return Fact(event=JobCancelled(job=job, why=why), occurred_at=now)


def _open_job(floor: Floor, code: str) -> Job:
    job = floor.jobs.get(code)
    if job is None:
        known = f"{next(iter(floor.jobs))} to {next(reversed(floor.jobs))}" if floor.jobs else "none yet"
        meant = did_you_mean(code, floor.jobs)
        raise NotPossible(f"There is no job {code!r}; jobs here: {known}.{meant} See: piecewalk job list")
    if job.cancelled:
        raise NotPossible(f"{code} was cancelled before. Nothing to do.")
    return job
