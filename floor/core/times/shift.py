"""A shift: a working day of the shop, and the time in it that counts as work.

Never knows who worked in it.
"""

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from floor.core.times.spans import Span, elapsed
from shared.hours import Hours


class Shift:
    """One working day. Closed stretches in it, such as lunch, count only where a read lies in them."""

    def __init__(self, hours: Hours, day: date) -> None:
        self.day = day
        self.start, self.end = hours.shift_bounds(day)
        self._breaks: Sequence[Span] = hours.breaks(day)

    def worked(self, start: datetime, end: datetime) -> timedelta:
        """The time that counts between two reads of the shift; nothing where the second comes first.

        A closed stretch that holds one of the two shows itself as overtime; one that lies between them does not count.
        """
        closed = (opens - closes for closes, opens in self._breaks if start <= closes and opens <= end)
        return elapsed(start, end) - sum(closed, timedelta(0))


class Shifts:
    """The shifts of a shop, each made once."""

    def __init__(self, hours: Hours) -> None:
        self._hours = hours
        self._shifts: dict[date, Shift] = {}
        self._latest: Shift | None = None

    def at(self, moment: datetime) -> Shift:
        """The shift that a moment belongs to: mostly that of the moment before, which is looked at first."""
        latest = self._latest
        if latest is None or not latest.start <= moment < latest.end:
            latest = self._latest = self.on(self._hours.shift_of(moment))
        return latest

    def on(self, day: date) -> Shift:
        """The shift that began on a day."""
        if day not in self._shifts:
            self._shifts[day] = Shift(self._hours, day)
        return self._shifts[day]

    def worked(self, start: datetime, end: datetime) -> timedelta:
        """The time that counts between two moments: as their shift has it, or what of it lies in opening hours."""
        shift = self.at(start)
        return shift.worked(start, end) if shift is self.at(end) else self._hours.working(start, end)
