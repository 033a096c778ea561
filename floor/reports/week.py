"""The week's report: what was made, what it was quoted at, what it cost, and why.

Never draws, and never reads a clock: the state, the shop and the moment come in, the report goes out.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from decimal import Decimal

from msgspec import Struct
from msgspec.structs import replace

from floor.cost.actual import quoted, spoilage, used
from floor.cost.variance import Flexed, Variance, compared
from floor.cycle import StepTime
from floor.reports.data import InkWeek, JobWeek, SpoiledFor, WeekReport
from floor.reports.headline import headlines
from floor.reports.times import cycles, first_pass_yield, per_hour, step_weeks, worked_between
from floor.state import Floor, Piece
from shared.money import ELEMENTS, Charge, Costing, rounded
from shared.shop import Shop


class _Ended(Struct, frozen=True):
    """A piece that was finished or spoiled in the week, with all that went into it and its quote."""

    piece: Piece
    used: Costing
    quoted: Costing

    @property
    def good(self) -> bool:
        """Whether it can be sold."""
        return self.piece.state == "finished"


def week_report(floor: Floor, shop: Shop, week: str, now: datetime) -> WeekReport:
    """The report of an ISO week such as "2026-W48"; of a week that still runs, up to now.

    Raises ValueError for what is no ISO week.
    """
    start, end = shop.hours.week_bounds(week)
    until = max(min(end, now), start)
    ended = [_Ended(piece, used(floor, shop, piece), quoted(floor, piece)) for piece in floor.ended_between(start, end)]
    by_job = _by_job(ended)
    jobs = [_job_week(floor, shop, code, each) for code, each in by_job.items()]
    total = _total(jobs, _money_week(floor, shop, []))
    worked = worked_between(floor, start, end)
    reasons = {code: _reasons(each, shop) for code, each in by_job.items()}
    good = [each.piece for each in ended if each.good]
    return WeekReport(
        week=week,
        currency=shop.currency,
        start=start,
        until=until,
        finished=total.finished,
        spoiled=total.spoiled,
        open=_open_at(floor, end),
        jobs=jobs,
        total=total,
        cycle_time_s=cycles(floor, shop, good, working=False),
        cycle_time_working_s=cycles(floor, shop, good, working=True),
        steps=step_weeks(shop, worked),
        first_pass_yield=first_pass_yield(floor, shop, start, end),
        throughput_per_hour=per_hour(total.finished, shop.hours.working(start, until)),
        spoiled_by_reason=_reasons(ended, shop),
        late_jobs=_late(floor, start, until),
        ink=_ink(worked),
        headlines=headlines(jobs, reasons, shop.currency),
    )


def _by_job(ended: Iterable[_Ended]) -> dict[str, list[_Ended]]:
    jobs: dict[str, list[_Ended]] = defaultdict(list)
    for each in ended:
        jobs[each.piece.job].append(each)
    return dict(sorted(jobs.items()))


def _job_week(floor: Floor, shop: Shop, code: str, ended: Sequence[_Ended]) -> JobWeek:
    return replace(_money_week(floor, shop, ended), job=code, customer=floor.jobs[code].order.customer)


def _money_week(floor: Floor, shop: Shop, ended: Sequence[_Ended]) -> JobWeek:
    good = [each for each in ended if each.good]
    lost = [spoilage(each.used) for each in ended if not each.good]
    standard = [(charge, 1) for each in good for charge in each.quoted]
    normal, abnormal = _split_spoilage(lost, standard)
    cost = compared([*(charge for each in good for charge in each.used), *normal], standard, shop.unit)
    price = rounded(sum((_price(floor, each.piece) for each in good), Decimal(0)), shop.unit)
    above = rounded(abnormal, shop.unit)
    return JobWeek(
        job="",
        customer="",
        finished=len(good),
        spoiled=len(lost),
        quoted=cost.quoted,
        actual=cost.actual,
        variance=cost.variance,
        variance_total=cost.total,
        abnormal_spoilage=above,
        price=price,
        margin_quoted=price - Decimal(cost.quoted["total"]),
        margin_made=price - Decimal(cost.actual["total"]) - above,
    )


def _price(floor: Floor, piece: Piece) -> Decimal:
    return floor.jobs[piece.job].line(piece.line).price_each


def _split_spoilage(lost: Sequence[Charge], standard: Iterable[Flexed]) -> tuple[list[Charge], Decimal]:
    """Spoilage up to the allowance that was quoted is normal, and a cost of the job; the rest is abnormal."""
    total = sum((charge.amount for charge in lost), Decimal(0))
    allowed = sum((charge.amount * times for charge, times in standard if charge.element == "spoilage"), Decimal(0))
    normal = min(total, allowed)
    charge = Charge(element="spoilage", what="spoiled pieces", quantity=Decimal(1), price=normal)
    return ([charge] if normal else []), total - normal


def _total(jobs: Iterable[JobWeek], nothing: JobWeek) -> JobWeek:
    """All jobs added up as they are shown, so that anyone can check the sum."""
    total = nothing
    for job in jobs:
        total = replace(
            total,
            finished=total.finished + job.finished,
            spoiled=total.spoiled + job.spoiled,
            quoted=_added(total.quoted, job.quoted),
            actual=_added(total.actual, job.actual),
            variance={element: _add(total.variance[element], job.variance[element]) for element in ELEMENTS},
            variance_total=total.variance_total + job.variance_total,
            abnormal_spoilage=total.abnormal_spoilage + job.abnormal_spoilage,
            price=total.price + job.price,
            margin_quoted=total.margin_quoted + job.margin_quoted,
            margin_made=total.margin_made + job.margin_made,
        )
    return total


def _added(one: Mapping[str, str], other: Mapping[str, str]) -> dict[str, str]:
    return {key: str(Decimal(amount) + Decimal(other[key])) for key, amount in one.items()}


def _add(one: Variance, other: Variance) -> Variance:
    return Variance(price=one.price + other.price, quantity=one.quantity + other.quantity)


def _reasons(ended: Iterable[_Ended], shop: Shop) -> list[SpoiledFor]:
    """What was spoiled and why, the costliest reason first."""
    lost: dict[str, list[Decimal]] = defaultdict(list)
    for each in ended:
        if each.piece.spoiled:
            lost[each.piece.spoiled.reason].append(spoilage(each.used).amount)
    found = [
        SpoiledFor(reason=reason, pieces=len(costs), cost=rounded(sum(costs, Decimal(0)), shop.unit))
        for reason, costs in lost.items()
    ]
    return sorted(found, key=lambda each: (-each.cost, -each.pieces, each.reason))


def _open_at(floor: Floor, moment: datetime) -> int:
    """Pieces that had been opened before a moment and were still open then, as far as is known today."""
    left = (piece.ended or piece.cancelled for piece in floor.pieces.values() if piece.opened < moment)
    return sum(1 for at in left if at is None or at >= moment)


def _late(floor: Floor, start: datetime, until: datetime) -> list[str]:
    """Jobs that were finished after they were due, in this week, or were due and still open at its end."""
    return sorted(code for code in floor.jobs if _was_late(floor, code, start, until))


def _was_late(floor: Floor, code: str, start: datetime, until: datetime) -> bool:
    job = floor.jobs[code]
    due = job.order.due
    kept = [piece for piece in job.pieces if piece.state in {"open", "finished"}]
    if max(due, job.added) >= until or not kept:
        return False
    ends = [piece.finished for piece in kept]
    known = [end for end in ends if end is not None and end < until]
    if len(known) < len(ends):
        return True
    return max(known) > due and max(known) >= start


def _ink(worked: Iterable[StepTime]) -> dict[str, InkWeek]:
    """The ink of every print of the week. What was drawn from the tanks is not known until levels are read."""
    uses = [time.step.uses for time in worked]
    printed = {
        "white": sum((each.white_ml for each in uses), Decimal(0)),
        "colour": sum((each.colour_ml for each in uses), Decimal(0)),
    }
    place = Decimal("0.001")
    return {ink: InkWeek(drawn_ml=None, printed_ml=rounded(ml, place), lost_ml=None) for ink, ml in printed.items()}
