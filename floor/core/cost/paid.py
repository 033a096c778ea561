"""Paid hours of hands, by when their reads show them to be there, held against the hours that went into pieces.

Never spreads what nobody scanned over the pieces: it is told apart.
"""

from collections.abc import Iterable, Iterator
from datetime import datetime
from decimal import Decimal
from itertools import groupby
from operator import itemgetter

from msgspec import Struct

from floor.core.cost.actual import Costs, labour_of
from floor.core.cost.quantities import hours
from floor.core.times.cycle import StepTime
from floor.core.times.hands import ShiftOfHands
from floor.core.times.share import UNSEEN


class PaidHours(Struct, frozen=True, kw_only=True):
    """The hours of one badge, exact, and what they cost. None is work of which nobody knows whose hands did it.

    Absorbed are the hours in pieces: as measured, or the standard's. Setup is not scanned, so it is in none of them.
    Of hands that nobody knows no more is known than that: they are paid what they absorbed.
    """

    badge: str | None
    paid_h: Decimal
    absorbed_h: Decimal
    paid: Decimal
    absorbed: Decimal
    not_signed_out: int = 0
    """In so many shifts it did not sign out, and is paid until its last read."""

    @property
    def unattributed_h(self) -> Decimal:
        """Paid, and in no piece."""
        return self.paid_h - self.absorbed_h

    @property
    def unattributed(self) -> Decimal:
        """What those hours cost."""
        return self.paid - self.absorbed


def paid_hours(costs: Costs, worked: Iterable[StepTime], start: datetime, until: datetime) -> list[PaidHours]:
    """Every badge that was there in a shift that began from one moment to another; `worked` are the steps meanwhile."""
    shifts = costs.walks.hands.between(start, until)
    known = [
        _of_badge(costs, badge, [shift for _, shift in each]) for badge, each in groupby(shifts, key=itemgetter(0))
    ]
    return [*known, *_of_nobody(costs, worked)]


def _of_badge(costs: Costs, badge: str, shifts: list[ShiftOfHands]) -> PaidHours:
    """Each shift at the rate that was in force when it began."""
    rates = [costs.prices_at(shift.began).hands_hour(badge) for shift in shifts]
    present = [hours(shift.present_s) for shift in shifts]
    absorbed = [min(hours(shift.absorbed_s), paid) for shift, paid in zip(shifts, present, strict=True)]  # rounded
    return PaidHours(
        badge=badge,
        paid_h=sum(present, Decimal(0)),
        absorbed_h=sum(absorbed, Decimal(0)),
        paid=_cost(present, rates),
        absorbed=_cost(absorbed, rates),
        not_signed_out=sum(not shift.signed_out for shift in shifts),
    )


def _cost(hours: Iterable[Decimal], rates: Iterable[Decimal]) -> Decimal:
    return sum((each * rate for each, rate in zip(hours, rates, strict=True)), Decimal(0))


def _of_nobody(costs: Costs, worked: Iterable[StepTime]) -> Iterator[PaidHours]:
    charges = [labour_of(costs.prices_of(time), time) for time in worked if time.hands.why in UNSEEN]
    if charges:
        hours = sum((charge.quantity for charge in charges), Decimal(0))
        cost = sum((charge.amount for charge in charges), Decimal(0))
        yield PaidHours(badge=None, paid_h=hours, absorbed_h=hours, paid=cost, absorbed=cost)
