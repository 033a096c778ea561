"""A day, hour by hour: how long a machine was busy in each hour, and when the shop was open.

Never draws an hour taller than an hour.
"""

from collections.abc import Sequence

from msgspec import Struct

from floor.reports.charts.paint import SPENT, fill, line
from floor.reports.charts.rows import SMALL, Picture
from floor.reports.charts.scale import Scale
from tickets.kit.box import MM, Box
from tickets.kit.fonts import LEADING
from tickets.kit.pen import Pen

DAY = Scale(0, 24)
LABELS = (0, 6, 12, 18, 24)
HEIGHT = 9 * MM
OPEN_MM, GRID = 0.7, 0.75


class Hour(Struct, frozen=True):
    """An hour of a day by the shop's clock; shares of it, from 0 to 1."""

    hour: int
    busy: float
    open: float


def day(hours: Sequence[Hour]) -> Picture:
    """A bar for each hour, as high as the share of it that was busy; a thick line where the shop was open."""

    def draw(pen: Pen, box: Box) -> None:
        lane = box.inset(0, 1 * MM)
        for label in LABELS:
            x = DAY.x(label, lane)
            line(pen, (x, box.y), (x, box.top), gray=GRID)
        for each in hours:
            cell = DAY.between(each.hour, each.hour + 1, lane)
            if each.busy:
                fill(pen, cell.cut_bottom(cell.height * min(each.busy, 1.0))[0], SPENT)
            if each.open:
                line(pen, (cell.x, cell.y), (DAY.x(each.hour + min(each.open, 1.0), lane), cell.y), mm=OPEN_MM)

    return draw


def hours_axis(pen: Pen, box: Box) -> None:
    """Every sixth hour of a day, over its place."""
    for label in LABELS:
        text = f"{label}:00"
        width = pen.width(text, "regular", size=SMALL)
        x = min(max(DAY.x(label, box) - width / 2, box.x), box.right - width)
        pen.words(Box(x, box.y + MM, width + 0.01, LEADING * SMALL), text, "regular", size=SMALL)
