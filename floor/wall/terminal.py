"""The wall in a terminal: a board as one screen that is read across a room.

Never asks what time it is nor how large the window is: a pure function of what it is given.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.layout import Layout
from rich.segment import Segment
from rich.style import Style
from rich.text import Text

from floor.core.plan.board import Board
from floor.wall.alarms import Showing, alarm_rows, kinds, notices
from floor.wall.curing import Press, press_rows, press_tiles, presses_of, wet_rows
from floor.wall.look import BASE, BOLD, grid, heading, right, said
from floor.wall.plan import GAP, HEADING, Plan, plan_of
from floor.wall.work import job_heading, job_rows, step_heading, step_rows
from shared import wording
from shared.files.shop import Shop

MOMENT = 16
TODAY = 26
LIVE = Showing()


@dataclass(frozen=True)
class Frame:
    """A renderable of exactly so many columns and rows, whatever the console would allow."""

    body: RenderableType
    width: int
    height: int

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        sized = options.update_dimensions(self.width, self.height)
        lines = console.render_lines(self.body, sized, style=BASE)
        for line in Segment.set_shape(lines, self.width, self.height, BASE):
            yield from line
            yield Segment.line()


def draw(board: Board, shop: Shop, width: int, height: int, showing: Showing = LIVE) -> RenderableType:
    """The wall of `width` columns and `height` rows, both at least 1."""
    found = notices(board, shop, showing)
    presses = presses_of(board)
    plan = plan_of(width, height, len(presses), kinds(found))
    parts = [
        (_header(board, shop, width, old=showing.past or showing.stale_s is not None), plan.header),
        (alarm_rows(found, width, plan.alarms), plan.alarms),
        (_curing(board, shop, presses, plan, width), plan.curing),
        (Group(step_heading(board, width), step_rows(board, width, plan.step_scale)), plan.steps),
        (Group(job_heading(board, width), job_rows(board, shop.hours.zone, width, plan.jobs - HEADING)), plan.jobs),
    ]
    wall = Layout()
    wall.split_column(*[Layout(part, size=rows) for part, rows in parts if rows])
    return Frame(wall, width, height)


def _header(board: Board, shop: Shop, width: int, *, old: bool) -> RenderableType:
    """The shop, its day so far, and the moment that is shown; the moment stands out when it is not the present."""
    today = f"today {board.today.finished} done, {board.today.spoiled} spoiled"
    moment = said(wording.day_and_time(board.at, shop.hours.zone), BOLD + Style(reverse=old))
    name = max(width - TODAY - MOMENT - 2, 1)
    hands = " · ".join(f"{each.badge} {each.station}" for each in board.hands)
    names = Text.assemble(said(shop.name, BOLD), "  ", said(hands), no_wrap=True, overflow="ellipsis")
    return grid([name, TODAY, MOMENT], [[names, said(today), right(moment)]])


def _curing(board: Board, shop: Shop, presses: Sequence[Press], plan: Plan, width: int) -> RenderableType:
    """Presses on the left, wet pieces on the right, under one heading."""
    left, room = min(plan.press_columns, width - 1), plan.curing - HEADING
    right_width = max(width - left - GAP, 1)
    wet_at = left + GAP
    names = [(0, f"presses {len(presses)}"), (wet_at, f"wet {len(board.wet)}")]
    body = Layout()
    body.split_row(
        Layout(_presses(presses, plan, left, room), size=left + GAP),
        Layout(wet_rows(board, shop.hours.zone, right_width, room)),
    )
    both = Layout()
    both.split_column(Layout(heading(width, names), size=HEADING), body)
    return both if room else heading(width, names)


def _presses(presses: Sequence[Press], plan: Plan, width: int, room: int) -> RenderableType:
    if plan.press_scale:
        return press_tiles(presses, plan.press_scale)
    return press_rows(presses, width, room)
