"""Pictures for the cells of a table: bars, steps of a bridge, and the axis above them.

Never writes a figure: the cells beside a picture do.
"""

from collections.abc import Callable, Sequence

from floor.core.times.cycle import Figures
from floor.reports.charts.paint import ADVERSE, FAVOURABLE, PLANNED, SPENT, Paint, fill, line
from floor.reports.charts.rows import PAD, ROW, SMALL, Picture
from floor.reports.charts.scale import Figure, Scale, TimeScale
from tickets.kit.box import MM, Box
from tickets.kit.fonts import LEADING
from tickets.kit.pen import Pen

BAR = 3.4 * MM
TWO_BARS = 2 * PAD + 2 * BAR
"""The least height of a row with `quoted_and_actual`."""
OVER = 0.5 * MM
THICK_MM, FAINT = 0.7, 0.7


def bar(scale: Scale, value: Figure, paint: Paint = SPENT) -> Picture:
    """A bar from zero to a value."""
    return step(scale, 0, value, paint)


def step(scale: Scale, start: Figure, end: Figure, paint: Paint) -> Picture:
    """A bar from one value to another, with the line of zero."""
    return steps(scale, (start, end, paint))


def steps(scale: Scale, *parts: tuple[Figure, Figure, Paint]) -> Picture:
    """Bars in one row, each from one value to another."""

    def draw(pen: Pen, box: Box) -> None:
        for start, end, paint in parts:
            fill(pen, scale.between(start, end, _lane(box)), paint)
        _zero(pen, scale, box)

    return draw


def until(scale: TimeScale, seconds: float, paint: Paint) -> Picture:
    """A bar from the left to a duration."""
    return lambda pen, box: fill(pen, Box(box.x, _lane(box).y, scale.x(seconds, box) - box.x, BAR), paint)


def change(scale: Scale, start: Figure, end: Figure) -> Picture:
    """What makes a margin smaller or larger: a bar from the margin before to the margin after."""
    return step(scale, start, end, ADVERSE if end < start else FAVOURABLE)


def quoted_and_actual(scale: Scale, quoted: Figure, actual: Figure) -> Picture:
    """Two bars, quoted above actual; what was spent beyond the quote, or saved, is marked at the end of the second."""

    def draw(pen: Pen, box: Box) -> None:
        above, below = box.cut_top(TWO_BARS)[0].inset(0, PAD).rows(2)
        fill(pen, scale.between(0, quoted, above), PLANNED)
        fill(pen, scale.between(0, min(quoted, actual), below), SPENT)
        fill(pen, scale.between(quoted, actual, below), ADVERSE if actual > quoted else FAVOURABLE)
        _zero(pen, scale, box)

    return draw


def _lane(box: Box) -> Box:
    """Where a bar lies in its cell: as high up as the words beside it."""
    lane = box.cut_top(ROW)[0]
    return lane.middle(lane.width, BAR)


def _zero(pen: Pen, scale: Scale, box: Box) -> None:
    """The line that bars stand on: zero, or where the axis begins."""
    x = scale.x(0, box)
    line(pen, (x, box.y), (x, box.top))


def range_of(scale: TimeScale, times: Figures) -> Picture:
    """Durations: a box with the middle half of them, lines to the tenth and the ninetieth percentile, the median."""

    def draw(pen: Pen, box: Box) -> None:
        for tick in scale.ticks():
            line(pen, (scale.x(tick, box), box.y), (scale.x(tick, box), box.top), gray=FAINT)
        if places := [scale.x(each, box) for each in _five(times)]:
            _range(pen, _lane(box), places)

    return draw


def _range(pen: Pen, lane: Box, places: Sequence[float]) -> None:
    least, low, middle, high, most = places
    y = lane.y + lane.height / 2
    line(pen, (least, y), (most, y))
    for x in (least, most):
        line(pen, (x, lane.y + OVER), (x, lane.top - OVER))
    fill(pen, Box(low, lane.y, high - low, lane.height), FAVOURABLE)
    line(pen, (middle, lane.y - OVER), (middle, lane.top + OVER), mm=THICK_MM)


def _five(times: Figures) -> list[float]:
    """Its percentiles from left to right; none where there are no durations."""
    five = times.p10, times.p25, times.median, times.p75, times.p90
    return [] if None in five else [each for each in five if each is not None]


def axis(scale: Scale | TimeScale, say: Callable[[float], str]) -> Picture:
    """The round figures of a scale, over their places; those that would touch are left out."""

    def draw(pen: Pen, box: Box) -> None:
        free = box.x - 1
        for tick in scale.ticks():
            text = say(tick)
            width = pen.width(text, "regular", size=SMALL)
            x = min(max(scale.x(tick, box) - width / 2, box.x), box.right - width)
            if x > free:
                pen.words(Box(x, box.y + MM, width + 0.01, LEADING * SMALL), text, "regular", size=SMALL)
                free = x + width + 2 * MM

    return draw


def no_picture(pen: Pen, box: Box) -> None:
    """A cell without a picture."""
