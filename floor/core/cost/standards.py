"""Standard times beside those that the ledger shows: what is off, by how much, and what that costs in a week.

Never proposes a dwell: how long a press must stay closed is the maker's to say, not the shop's habit.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from floor.core.cost.evidence import How, evidence
from floor.core.cost.quantities import hours
from floor.core.state.floor import Floor
from floor.core.times.cycle import StepTime, Walks
from shared.files.shop import Shop
from shared.money import rounded
from shared.prices import PriceList
from shared.route import Step

NEWEST = 5_000
"""Of each step so many of the newest times are looked at."""

What = Literal["touch_s", "machine_s"]
Where = tuple[str | int, ...]
"""The way to a number in the shop file: ("steps", "pretreat", "touch_s")."""


class Learned(Struct, frozen=True, kw_only=True):
    """One standard time of the shop file, and what the ledger shows; seconds, and money in the shop's currency.

    `how` says what its bounds are, see `Evidence`. `proposed_s` is None where the standard may be right, or where no
    more than a bound is known. `costs_a_week` is above zero where the work takes longer than the standard.
    """

    step: str
    way: Where
    what: What
    standard_s: float
    how: How
    n: int
    days: int
    mean_s: float | None
    low_s: float | None
    high_s: float | None
    a_week: float
    costs_a_week: Decimal
    proposed_s: int | None

    @property
    def where(self) -> str:
        """The number's place in the shop file, as people say it: "steps.pretreat.touch_s"."""
        return said(self.way)


def said(way: Where) -> str:
    """A place in the shop file, as people say it."""
    return ".".join(map(str, way))


def learned(floor: Floor, shop: Shop, since: datetime, now: datetime) -> list[Learned]:
    """Every standard time of today's shop file that was worked by since a moment, the costliest difference first."""
    walks = Walks(floor, shop)
    groups: dict[tuple[str, float], list[StepTime]] = defaultdict(list)
    for time in walks.worked_between(since, now):
        if time.done is not None and not time.step.is_press:
            groups[time.step.key, _standard_s(time.step)].append(time)
    weeks = max((now - max(since, floor.began or since)) / timedelta(weeks=1), 1.0)
    compared = [
        _learned(walks, shop, place, times, weeks)
        for (key, standard), times in groups.items()
        for place in places(shop, key, _what_of(times[0].step), standard)
    ]
    return sorted(compared, key=lambda each: -abs(each.costs_a_week))


def _what_of(step: Step) -> What:
    """What a step's time is set by: the hands, or the machine once it is loaded."""
    return "machine_s" if step.has_machine else "touch_s"


def _standard_s(step: Step) -> float:
    return step.machine_s if step.has_machine else step.touch_s


def places(shop: Shop, key: str, what: What, standard_s: float) -> Iterator[Where]:
    """Where today's shop file says that standard for a step; nowhere when it has been changed since."""
    if getattr(shop.file.steps.get(key), what, None) == standard_s:
        yield "steps", key, what
    for route, entries in shop.file.routes.items():
        for n, entry in enumerate(entries):
            if entry.step == key and getattr(entry, what) == standard_s:
                yield "routes", route, n, what


def every(shop: Shop) -> Iterator[Where]:
    """Where the shop file says any standard that a ledger may show otherwise; a dwell is none."""
    for key, step in shop.file.steps.items():
        what: What = "machine_s" if step.has_machine else "touch_s"
        if step.is_press:
            continue
        yield "steps", key, what
        for route, entries in shop.file.routes.items():
            for n, entry in enumerate(entries):
                if entry.step == key and getattr(entry, what) is not None:
                    yield "routes", route, n, what


def _learned(walks: Walks, shop: Shop, place: Where, times: Sequence[StepTime], weeks: float) -> Learned:
    step = times[0].step
    standard_s, a_week = _standard_s(step), len(times) / weeks
    shown = evidence(walks, shop.hours, sorted(times, key=_done)[-NEWEST:])
    better_s = shown.better_than(standard_s)
    more_s = (better_s - standard_s) * a_week if better_s is not None else 0.0
    return Learned(
        step=step.key,
        way=place,
        what=_what_of(step),
        standard_s=standard_s,
        how=shown.how,
        n=shown.n,
        days=shown.days,
        mean_s=shown.mean_s,
        low_s=shown.low_s,
        high_s=shown.high_s,
        a_week=a_week,
        costs_a_week=rounded(hours(more_s) * _an_hour(shop.price_list, times), shop.unit),
        proposed_s=_proposed_s(better_s, standard_s) if shown.sure else None,
    )


def _proposed_s(better_s: float | None, standard_s: float) -> int | None:
    if better_s is None or round(better_s) == standard_s:
        return None
    return round(better_s)


def _done(time: StepTime) -> datetime:
    assert time.done is not None, "only times with an end are looked at"
    return time.done


def _an_hour(prices: PriceList, times: Sequence[StepTime]) -> Decimal:
    """What an hour of this work costs, by those who did it: hands with their overhead, or the machine."""
    return sum((_hour_of(prices, time) for time in times), Decimal(0)) / len(times)


def _hour_of(prices: PriceList, time: StepTime) -> Decimal:
    if time.step.has_machine:
        return prices.machine_hour(time.step.key, time.station)
    return prices.burdened_hour(time.badge)
