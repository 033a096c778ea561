"""The money of a week: what each job was quoted at, what it cost, and why; and all jobs together.

Never adds up what is not shown: whoever adds the jobs up gets the total.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

from msgspec.structs import replace

from floor.core.cost.account import Account, Lost
from floor.core.cost.cause import causes
from floor.core.cost.paid import PaidHours
from floor.core.cost.variance import Variance, compared, parts_of
from floor.core.figures.data import HandsWeek, JobWeek, SpoiledFor
from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from floor.core.times.cycle import Walks
from shared.money import ELEMENTS, rounded

HOUR_S = 3600


def job_week(walks: Walks, code: str, account: Account, unit: Decimal) -> JobWeek:
    """What one job did, from its account."""
    floor = walks.floor
    cost = compared((each.difference for each in account.entries), unit)
    price = rounded(sum((_price(floor, piece) for piece in account.good), Decimal(0)), unit)
    abnormal, given_up = rounded(account.abnormal, unit), rounded(account.given_up_cost, unit)
    exact = causes(walks, account.entries)
    return JobWeek(
        job=code,
        customer=floor.jobs[code].customer if code else "",
        finished=len(account.good),
        spoiled=len(account.spoiled),
        quoted=cost.quoted,
        actual=cost.actual,
        variance=cost.variance,
        variance_total=cost.total,
        abnormal_spoilage=abnormal,
        given_up=len(account.given_up),
        given_up_cost=given_up,
        causes=_largest_first(dict(zip(exact, parts_of(cost.total, [*exact.values()], unit), strict=True))),
        price=price,
        margin_quoted=price - cost.quoted["total"],
        margin_made=price - cost.actual["total"] - abnormal - given_up,
    )


def _price(floor: Floor, piece: Piece) -> Decimal:
    return floor.line_of(piece).price_each


def _largest_first(amounts: Mapping[str, Decimal]) -> dict[str, Decimal]:
    return {what: amounts[what] for what in sorted(amounts, key=lambda what: (-abs(amounts[what]), what))}


def total_week(jobs: Sequence[JobWeek], nothing: JobWeek) -> JobWeek:
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
            given_up=total.given_up + job.given_up,
            given_up_cost=total.given_up_cost + job.given_up_cost,
            price=total.price + job.price,
            margin_quoted=total.margin_quoted + job.margin_quoted,
            margin_made=total.margin_made + job.margin_made,
        )
    return replace(total, causes=_causes_of(jobs))


def _added(one: Mapping[str, Decimal], other: Mapping[str, Decimal]) -> dict[str, Decimal]:
    return {key: amount + other[key] for key, amount in one.items()}


def _add(one: Variance, other: Variance) -> Variance:
    return Variance(price=one.price + other.price, quantity=one.quantity + other.quantity)


def _causes_of(jobs: Iterable[JobWeek]) -> dict[str, Decimal]:
    sums: dict[str, Decimal] = defaultdict(Decimal)
    for job in jobs:
        for cause, amount in job.causes.items():
            sums[cause] += amount
    return _largest_first(sums)


def spoiled_for(lost: Iterable[Lost], unit: Decimal) -> list[SpoiledFor]:
    """What was spoiled and why, the costliest reason first."""
    by_reason: dict[str, list[Decimal]] = defaultdict(list)
    for piece, cost in lost:
        if piece.spoiled:
            by_reason[piece.spoiled.reason].append(cost)
    found = [
        SpoiledFor(reason=reason, pieces=len(costs), cost=rounded(sum(costs, Decimal(0)), unit))
        for reason, costs in by_reason.items()
    ]
    return sorted(found, key=lambda each: (-each.cost, -each.pieces, each.reason))


def hands_weeks(found: Sequence[PaidHours], unit: Decimal) -> list[HandsWeek]:
    """The hours of each badge as they are shown."""
    return [_hands_week(each, unit) for each in found]


def _hands_week(each: PaidHours, unit: Decimal) -> HandsWeek:
    paid, absorbed = rounded(each.paid, unit), rounded(each.absorbed, unit)
    return HandsWeek(
        badge=each.badge,
        paid_s=float(each.paid_h * HOUR_S),
        absorbed_s=float(each.absorbed_h * HOUR_S),
        unattributed_s=float(each.unattributed_h * HOUR_S),
        paid=paid,
        absorbed=absorbed,
        unattributed=paid - absorbed,
        not_signed_out=each.not_signed_out,
    )
