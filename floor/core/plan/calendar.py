"""Working time from now on, in seconds, against the clock: what the one shows when the other shows something.

Never plays anything: it only counts opening hours.
"""

from bisect import bisect_left, bisect_right
from datetime import datetime, timedelta
from math import inf

from floor.core.plan.play import Closing
from shared.hours import Hours

MICROSECOND_S = 1e-6
"""Sums of seconds may be off by less: what ends when the shop closes does not end the next morning for that."""


class Calendar:
    """The openings of a shop from a moment on; as many as have been asked for are kept."""

    def __init__(self, hours: Hours, now: datetime) -> None:
        self.now = now
        self._openings = hours.openings_from(now)
        self._opens: list[datetime] = []
        self._closes: list[datetime] = []
        self._opens_s = [0.0]
        """Working time that has passed when each opening begins, and when the one after the last will."""

    def moment(self, seconds: float) -> datetime | None:
        """The earliest moment by which so much working time has passed; None for what never comes."""
        if seconds == inf:
            return None
        if seconds <= MICROSECOND_S:
            return self.now
        self._count_until(seconds)
        n = bisect_left(self._opens_s, seconds - MICROSECOND_S) - 1
        return self._opens[n] + timedelta(seconds=seconds - self._opens_s[n])

    def seconds(self, moment: datetime) -> float:
        """The working time until a moment; of one that has passed, the time since, below nothing."""
        if moment <= self.now:
            return (moment - self.now).total_seconds()
        while not self._closes or self._closes[-1] < moment:
            self._next_opening()
        n = bisect_right(self._opens, moment) - 1
        if n < 0:
            return 0.0
        return self._opens_s[n] + (min(moment, self._closes[n]) - self._opens[n]).total_seconds()

    def breaks(self, until_s: float) -> list[Closing]:
        """When the shop closes until so much working time has passed, and for how long."""
        self._count_until(until_s)
        each = zip(self._opens_s[1:], self._closes, self._opens[1:], strict=False)
        return [
            Closing(at_s, (opens - closes).total_seconds()) for at_s, closes, opens in each if at_s and closes < opens
        ]

    def _count_until(self, seconds: float) -> None:
        while self._opens_s[-1] < seconds:
            self._next_opening()

    def _next_opening(self) -> None:
        opens, closes = next(self._openings)
        opens = max(opens, self.now)
        if opens < closes:
            self._opens.append(opens)
            self._closes.append(closes)
            self._opens_s.append(self._opens_s[-1] + (closes - opens).total_seconds())
