"""The route on a ticket: each step in order, its settings, and a box to tick by hand.

Never hides a step without saying so.
"""

from collections.abc import Sequence

from shared.route import Step
from tickets.kit.box import MM, Box
from tickets.kit.pen import Pen
from tickets.settings import settings_words

ONE_COLUMN_MOST = 7
ROW_MOST = 7.8 * MM
ROW_GOOD = 6.6 * MM
ROW_OF_TWO = 5.8 * MM
ROW_LEAST = 3.4 * MM
COLUMN_GAP = 4 * MM
TICK_MM = 4.2


def row_count(steps: int) -> int:
    """How many rows a route of so many steps likes to have."""
    return -(-steps // _columns(steps))


def _columns(steps: int) -> int:
    return 1 if steps <= ONE_COLUMN_MOST else 2


def draw_route(pen: Pen, steps: Sequence[Step], box: Box) -> None:
    """A route in a box: in two columns, read downwards, if it is long."""
    if not steps:
        return
    columns = _columns(len(steps))
    rows = min(row_count(len(steps)), int(box.height / ROW_LEAST))
    room = box.cut_top(rows * min(ROW_MOST, box.height / rows))[0]
    cells = [cell for column in room.columns(columns, COLUMN_GAP) for cell in column.rows(rows)]
    hidden = len(steps) - len(cells) + 1 if len(steps) > len(cells) else 0
    write = _beside if columns == 1 else _beneath if room.height / rows >= ROW_OF_TWO else _crowded
    for n, (step, cell) in enumerate(zip(steps[: len(steps) - hidden], cells, strict=False), start=1):
        write(pen, step, _numbered(pen, n, cell))
    if hidden:
        pen.words(cells[-1], pen.say("… and {count} more steps: see the piece on screen", count=hidden), size=9)


def _numbered(pen: Pen, number: int, cell: Box) -> Box:
    """A row's tick box and number, and the line beneath it; what is left of the row."""
    side = pen.whole(min(TICK_MM, cell.height / MM - 1))
    tick, rest = cell.cut_left(side, 1.5 * MM)
    pen.outlined(tick.middle(side, side), 0.4)
    pen.rule(cell, 0.125)
    place, rest = rest.cut_left(5 * MM)
    pen.words(place, str(number), "regular", size=9)
    return rest


def _settings(pen: Pen, step: Step) -> str:
    return " · ".join(settings_words(step, pen.language))


def _beside(pen: Pen, step: Step, row: Box) -> None:
    label, values = row.cut_left(row.width * 0.4, 2 * MM)
    pen.words(label if _settings(pen, step) else row, step.label, size=12)
    pen.words(values, _settings(pen, step), "regular", size=11, lines=2)


def _beneath(pen: Pen, step: Step, row: Box) -> None:
    label, values = row.inset(0, 0.25 * MM).rows(2)
    pen.words(label if _settings(pen, step) else row.middle(label.width, label.height), step.label, size=10)
    pen.words(values, _settings(pen, step), "regular", size=9)


def _crowded(pen: Pen, step: Step, row: Box) -> None:
    label, values = row.cut_left(row.width * 0.45, 1 * MM)
    pen.words(label if _settings(pen, step) else row, step.label, size=7.5)
    pen.words(values, _settings(pen, step), "regular", size=7.5)
