"""Where a figure stands along a chart, and which round figures mark its way.

Never draws.
"""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from math import floor, log10

from msgspec import Struct

from tickets.kit.box import Box

Figure = float | Decimal
STEPS = (1, 2, 5, 10)
TICKS_MOST = 4
TIMES_S = 1, 10, 60, 600, 3_600, 36_000, 259_200, 2_592_000
"""Round durations, each several times the one before: a wait of seconds and one of days have room on one axis."""


class Scale(Struct, frozen=True):
    """Figures from `low` to `high`, evenly from the left of a box to its right."""

    low: float
    high: float

    def x(self, value: Figure, box: Box) -> float:
        """Where a value stands in a box; what lies beyond the scale stands at its end."""
        span = self.high - self.low
        share = (float(value) - self.low) / span if span else 0.0
        return box.x + min(max(share, 0.0), 1.0) * box.width

    def between(self, start: Figure, end: Figure, box: Box) -> Box:
        """The part of a box from one value to another, whichever is larger."""
        left, right = sorted((self.x(start, box), self.x(end, box)))
        return Box(left, box.y, right - left, box.height)

    def ticks(self) -> Sequence[float]:
        """A few round figures on the scale, its ends among them if they are round."""
        span = self.high - self.low
        if span <= 0:
            return [self.low]
        ten = 10.0 ** floor(log10(span / TICKS_MOST))
        step = next(each * ten for each in STEPS if span / (each * ten) <= TICKS_MOST)
        first, last = -int(-self.low // step), int(self.high // step)
        return [n * step for n in range(first, last + 1)]


def scale_of(values: Iterable[Figure]) -> Scale:
    """The scale that holds some values, and zero."""
    found = [0.0, *map(float, values)]
    return Scale(min(found), max(found))


class TimeScale(Struct, frozen=True):
    """Durations in seconds on a logarithmic scale."""

    low: float
    high: float

    def x(self, value: Figure, box: Box) -> float:
        """Where a duration stands in a box; what lies beyond the scale stands at its end."""
        share = log10(max(float(value), self.low) / self.low) / log10(self.high / self.low)
        return box.x + min(share, 1.0) * box.width

    def ticks(self) -> Sequence[float]:
        """The round durations on the scale."""
        return [tick for tick in TIMES_S if self.low <= tick <= self.high]


def times_of(seconds: Iterable[float | None]) -> TimeScale:
    """The scale of some durations, from the round one below them to the round one above."""
    found = [max(each, 1.0) for each in seconds if each is not None] or [1.0]
    low = max(tick for tick in TIMES_S if tick <= min(found))
    return TimeScale(low, next((tick for tick in TIMES_S if tick > max(found)), 2 * max(found)))
