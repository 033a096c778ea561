"""When a job would be done if it were taken now, and which others it would make late.

Never takes it: the floor that is handed in is used up by the question.
"""

from collections.abc import Iterable
from datetime import datetime

from msgspec import Struct

from floor.core.folds.fold import fold
from floor.core.plan.band import Band, Bands
from floor.core.plan.forecast import expected_finishes, late
from floor.core.state.floor import Floor
from shared.events.recorded import Fact, Recorded
from shared.files.shop import Shop


class Promise(Struct, frozen=True, kw_only=True):
    """What can be said of a job before it is taken. `expected` is None where its steps cannot be done just now."""

    expected: datetime | None
    band: Band | None
    """None with too few past forecasts to know how far they are off."""
    late: bool
    """Whether it would be late itself."""
    makes_late: tuple[str, ...]
    """Jobs that would be in time without it."""


def promise(floor: Floor, shop: Shop, job: str, facts: Iterable[Fact], now: datetime) -> Promise:
    """What would come of a job, of which `facts` would be recorded if it were taken."""
    before = _late_jobs(floor, expected_finishes(floor, shop, now), now)
    for fact in facts:
        fold(floor, Recorded(seq=floor.seq + 1, occurred_at=now, recorded_at=now, event=fact.event))
    expected = expected_finishes(floor, shop, now)
    after = _late_jobs(floor, expected, now)
    return Promise(
        expected=expected.get(job),
        band=Bands(floor, shop.hours, now).around(expected.get(job)),
        late=job in after,
        makes_late=tuple(sorted(after - before - {job})),
    )


def _late_jobs(floor: Floor, expected: dict[str, datetime], now: datetime) -> set[str]:
    open_jobs = {piece.job for piece in floor.open.values()}
    return {code for code in open_jobs if late(floor, floor.jobs[code], expected.get(code), now)}
