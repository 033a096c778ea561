"""The presses with their countdowns, and the wet pieces that wait for one.

Never reorders a press: each keeps its place, so that the eye finds it.
"""

from collections.abc import Sequence
from datetime import tzinfo
from itertools import groupby

from rich.console import Group, RenderableType
from rich.text import Text

from floor.core.plan.board import Board
from floor.core.plan.presses import InPress
from floor.core.plan.wet import Wet
from floor.wall.digits import columns_of, large, rows_of
from floor.wall.look import BOLD, chosen, gauge, grid, label, more, right, said, state, tone
from floor.wall.signs import FREE, OPENED_EARLY, press_sign, wet_sign
from shared import wording
from shared.codes import grouped

TILE_TEXT = "00:00"
"""The widest countdown for which a tile makes room; a longer one is drawn smaller."""
TILE_LINES = 3
"""What a tile has beside the countdown: the press, its state, the piece."""
PIECE = 12
NAME = 10
SIGN = 11
COUNTDOWN = 7
TIME = 8
WAITS = {29: 14, 24: 9, 0: 7}
"""By the columns that there are: those of a wait with its limit in words, with its limit, and alone."""
WET_WITH_TIME = 38
WET_WITH_WORD = 48
WET_WITH_GAUGE = 70
"""The columns from which a wet piece is also shown with its time, its word, its gauge."""


class Press:
    """A press as the wall shows it: by its most pressing piece."""

    def __init__(self, station: str, inside: Sequence[InPress], early: frozenset[str]) -> None:
        self.station = station
        first = inside[0]
        self.sign = press_sign(first, opened_early=first.piece in early)
        self.left_s = first.seconds_left
        self.opens_at = first.opens_at
        self.countdown = "" if first.seconds_left is None else wording.countdown(first.seconds_left)
        others = len(inside) - 1
        self.piece = (grouped(first.piece) if first.piece else "") + (f" +{others}" if others else "")

    def rank(self) -> tuple[float, bool]:
        """The one that must be opened first comes first; those that are down, and free ones, last."""
        if self.sign == OPENED_EARLY:
            return float("-inf"), False
        return float("inf") if self.left_s is None else self.left_s, self.sign == FREE


def presses_of(board: Board) -> list[Press]:
    """Every press once, the one that must be opened first before the others."""
    early = frozenset(alarm.piece for alarm in board.alarms if alarm.kind == "opened too early" and alarm.piece)
    by_station = groupby(board.presses, key=lambda line: line.station)
    return sorted((Press(station, list(lines), early) for station, lines in by_station), key=Press.rank)


def tile_width(scale: int) -> int:
    """The columns that one press takes in large figures, the gap to the next one included."""
    return columns_of(TILE_TEXT, scale) + 2


def press_tiles(presses: Sequence[Press], scale: int) -> RenderableType:
    """The presses side by side, the countdowns large."""
    width = tile_width(scale) - 1
    rows = [
        [said(press.station, BOLD) for press in presses],
        [_figures(press, scale, width) for press in presses],
        [state(press.sign) for press in presses],
        [label(press.piece) for press in presses],
    ]
    return grid([width] * len(presses), rows)


def _figures(press: Press, scale: int, width: int) -> Text:
    """As large as they fit: where the plus before them is too much, without it, for their sign stands below."""
    bare = press.countdown.removeprefix("+")
    texts = (press.countdown, bare)
    fitting = ((text, s) for text in texts for s in range(scale, 0, -1) if columns_of(text, s) <= width)
    lines = large(*next(fitting, (press.countdown, 0))) if press.countdown else []
    missing = rows_of(scale) - len(lines)
    return Text("\n".join([*lines, *[""] * missing]), tone(press.sign), no_wrap=True, overflow="ellipsis")


def press_rows(presses: Sequence[Press], width: int, room: int) -> RenderableType:
    """The presses one to a row, where there is no room for large figures."""
    shown, left_out = chosen(presses, room, Press.rank)
    worded = width >= NAME + SIGN + COUNTDOWN + 2
    sign = SIGN if worded else 1
    name = max(min(width - sign - COUNTDOWN - 3, NAME), 1)
    piece = width - name - sign - COUNTDOWN - 3
    widths = [name, sign, COUNTDOWN, piece] if piece >= PIECE else [name, sign, COUNTDOWN]
    rows = [_press_row(press, worded=worded) for press in shown]
    if left_out:
        rows.append([said(f"+{len(left_out)} more", BOLD), said(""), said(""), said("")])
    return grid(widths, [row[: len(widths)] for row in rows])


def _press_row(press: Press, *, worded: bool) -> list[Text]:
    """Where there is no room for a sign's word, its shape stands alone: the name goes before it."""
    sign = state(press.sign) if worded else said(press.sign.shape, tone(press.sign))
    return [said(press.station), sign, right(said(press.countdown, tone(press.sign))), label(press.piece)]


def wet_rows(board: Board, zone: tzinfo, width: int, room: int) -> RenderableType:
    """The wet pieces in the order in which the presses should take them."""
    if not board.wet:
        return label("nothing is wet")
    shown, left_out = chosen(board.wet, room, lambda wet: wet_sign(wet).tone != "urgent")
    widths = _wet_columns(width)
    rows = grid(widths, [_wet_row(wet, board, zone, widths) for wet in shown])
    too_long = sum(wet_sign(wet).tone == "urgent" for wet in left_out)
    return Group(rows, more(len(left_out), "wet", too_long, "too long")) if left_out else rows


def _wet_columns(width: int) -> list[int]:
    """Sign, piece, wait, when it goes in, gauge: as many as there is room for."""
    wait = next(columns for least, columns in WAITS.items() if width >= least)
    widths = [SIGN if width >= WET_WITH_WORD else 1, PIECE, wait]
    if width >= WET_WITH_TIME:
        widths.append(TIME)
    if width >= WET_WITH_GAUGE:
        widths.append(width - sum(widths) - len(widths) - 1)
    return widths


def _wet_row(wet: Wet, board: Board, zone: tzinfo, widths: Sequence[int]) -> list[Text]:
    sign = wet_sign(wet)
    style = tone(sign)
    expected = "" if wet.expected_in is None else f"in {wording.time_or_day(wet.expected_in, board.at, zone)}"
    row = [
        state(sign) if widths[0] > 1 else said(sign.shape, style),
        said(grouped(wet.piece), BOLD),
        right(said(_wait(wet, widths[2]), style)),
        label(expected),
    ]
    if len(widths) > len(row):
        row.append(gauge(wet.wet_s / wet.limit_s if wet.limit_s else 0, widths[-1], style))
    return row[: len(widths)]


def _wait(wet: Wet, columns: int) -> str:
    """ "24 of 20 min", "24/20 min" or "24 min", whichever fits."""
    texts = [wording.of_limit(wet.wet_s, wet.limit_s, between) for between in (" of ", "/")]
    return next((text for text in texts if len(text) <= columns), wording.minutes(wet.wet_s))
