"""Paid hours of hands, from sign-in to sign-out, held against the hours that went into pieces.

Never spreads what nobody scanned over the pieces: it is told apart.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import datetime
from decimal import Decimal

from msgspec import Struct

from floor.core.cost.actual import Costs, labour_of
from floor.core.cost.quantities import hours
from floor.core.state.floor import Floor
from floor.core.state.station import Station
from floor.core.times.cycle import StepTime
from floor.core.times.spans import Span, union, within
from shared.hours import Hours


class Hands(Struct, frozen=True, kw_only=True):
    """The hours of one badge, exact, and what they cost. None is work that was done with nobody signed in.

    Absorbed are the hours in pieces: as measured, or the standard's. Setup is not scanned, so it is in none of them.
    """

    badge: str | None
    paid_h: Decimal
    absorbed_h: Decimal
    paid: Decimal
    absorbed: Decimal

    @property
    def unattributed_h(self) -> Decimal:
        """Paid, and in no piece; below nothing, where more went into pieces than was signed for."""
        return self.paid_h - self.absorbed_h

    @property
    def unattributed(self) -> Decimal:
        """What those hours cost."""
        return self.paid - self.absorbed


class _Hours(Struct):
    """Hours as they are added up, and what they cost."""

    hours: Decimal = Decimal(0)
    cost: Decimal = Decimal(0)

    def add(self, hours: Decimal, rate: Decimal) -> None:
        self.hours += hours
        self.cost += hours * rate


def hands(costs: Costs, hours_of: Hours, worked: Iterable[StepTime], start: datetime, until: datetime) -> list[Hands]:
    """Every badge that signed in or worked from one moment to another; `worked` are the steps done meanwhile."""
    paid, absorbed = _paid(costs, hours_of, start, until), _absorbed(costs, worked)
    names = sorted({*paid, *absorbed} - {""}) + [""] * ("" in absorbed)
    return [
        Hands(
            badge=name or None,
            paid_h=paid[name].hours,
            absorbed_h=absorbed[name].hours,
            paid=paid[name].cost,
            absorbed=absorbed[name].cost,
        )
        for name in names
    ]


def _paid(costs: Costs, hours_of: Hours, start: datetime, until: datetime) -> dict[str, _Hours]:
    """Hands that are signed in at two stations are paid once, at the rate in force when they signed in."""
    sums: dict[str, _Hours] = defaultdict(_Hours)
    for badge, its in _signed_in(costs.floor, hours_of, until).items():
        for opens, closes in within(union(its), start, until):
            rate = costs.prices_at(opens).hands_hour(badge)
            sums[badge].add(hours((closes - opens).total_seconds()), rate)
    return sums


def _absorbed(costs: Costs, worked: Iterable[StepTime]) -> dict[str, _Hours]:
    sums: dict[str, _Hours] = defaultdict(_Hours)
    for time in worked:
        charge = labour_of(costs.prices_of(time), time)
        sums[time.badge or ""].add(charge.quantity, charge.price)
    return sums


def _signed_in(floor: Floor, hours_of: Hours, until: datetime) -> dict[str, list[Span]]:
    """By badge: from when to when it was signed in, station by station."""
    spans: dict[str, list[Span]] = defaultdict(list)
    for station in floor.stations.values():
        for badge, span in _signings(station, hours_of, until):
            spans[badge].append(span)
    return spans


def _signings(station: Station, hours_of: Hours, until: datetime) -> Iterator[tuple[str, Span]]:
    """A badge stays until the next, until it signs out, or until its day ends."""
    ends = [*(at for at, _, _ in station.signings[1:]), until]
    for (since, _, badge), end in zip(station.signings, ends, strict=False):
        if badge is not None:
            _, day_ends = hours_of.day_bounds(hours_of.day_of(since))
            yield badge, (since, min(end, day_ends, until))
