"""The board as a plain list, whole, for a terminal that scrolls or a pipe.

Never leaves anything out: that is the wall's way of fitting a window.
"""

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from floor.core.plan.board import AlarmLine, Board
from floor.wall.signs import UNCLEAR, alarm_rank, alarm_sign, job_sign, press_sign, wet_sign
from floor.words.columns import BOLD, figures, plain, table, words
from shared import wording
from shared.codes import grouped
from shared.files.shop import Shop
from shared.harmless import harmless

WIDTH = 80


def board_text(board: Board, shop: Shop, width: int = WIDTH) -> RenderableType:
    """Everything that a board holds."""
    at = wording.full_moment(board.at, shop.hours.zone)
    today = f"today {board.today.finished} finished, {board.today.spoiled} spoiled"
    parts = [
        Text(f"{harmless(shop.name)}, {at}, {today}", BOLD),
        _alarms(board, shop),
        _titled("Steps", len(board.steps), _steps(board, width)),
        *_press_parts(board, shop, width),
        _titled("Jobs", len(board.jobs), _jobs(board, shop, width)),
    ]
    return _spaced(parts)


def press_text(board: Board, shop: Shop, width: int = WIDTH) -> RenderableType:
    """The press queue: the presses with their timers, and what is wet."""
    return _spaced(_press_parts(board, shop, width))


def _press_parts(board: Board, shop: Shop, width: int) -> list[RenderableType]:
    return [
        _titled("Presses", len({press.station for press in board.presses}), _presses(board, shop, width)),
        _titled("Wet", len(board.wet), _wet(board, shop, width)),
    ]


def _spaced(parts: Sequence[RenderableType]) -> RenderableType:
    return Group(parts[0], *(each for part in parts[1:] for each in (Text(), part)))


def _titled(title: str, count: int, *body: RenderableType) -> Group:
    return Group(Text(f"{title}: {count}", BOLD), *(body if count else ()))


def _alarms(board: Board, shop: Shop) -> RenderableType:
    alarms = [_alarm(alarm, board, shop) for alarm in sorted(board.alarms, key=alarm_rank)]
    unclear = [
        plain(f"{UNCLEAR} {grouped(piece)}: its scans contradict each other; settle it.")
        for piece in board.contradictions
    ]
    return _titled("Alarms", len(alarms) + len(unclear), *alarms, *unclear)


def _alarm(alarm: AlarmLine, board: Board, shop: Shop) -> Text:
    since = wording.moment(alarm.since, board.at, shop.hours.zone)
    return Text(f"{harmless(str(alarm_sign(alarm)))}, since {since}: {harmless(alarm.say)}")


def _steps(board: Board, width: int) -> RenderableType:
    columns = [
        figures("waiting", (line.waiting for line in board.steps)),
        figures("in work", (line.working for line in board.steps)),
        figures("longest wait", (wording.duration(line.oldest_wait_s) for line in board.steps)),
    ]
    return table(words("step", (line.step for line in board.steps)), columns, width)


def _presses(board: Board, shop: Shop, width: int) -> RenderableType:
    early = {alarm.piece for alarm in board.alarms if alarm.kind == "opened too early"}
    rows = board.presses
    columns = [
        words("state", (str(press_sign(row, opened_early=row.piece in early)) for row in rows)),
        figures("left", ("" if row.seconds_left is None else wording.countdown(row.seconds_left) for row in rows)),
        words("piece", (row.piece or "" for row in rows)),
        figures("closed", (wording.moment(row.closed_since, board.at, shop.hours.zone) for row in rows)),
        figures("opens", (wording.moment(row.opens_at, board.at, shop.hours.zone) for row in rows)),
    ]
    return table(words("press", (row.station for row in rows)), columns, width)


def _wet(board: Board, shop: Shop, width: int) -> RenderableType:
    zone, rows = shop.hours.zone, board.wet
    columns = [
        words("state", (str(wet_sign(row)) for row in rows)),
        words("waits for", (row.step for row in rows)),
        figures("wet for", (wording.duration(row.wet_s) for row in rows)),
        figures("limit", (wording.duration(row.limit_s) for row in rows)),
        figures("in", (wording.moment(row.expected_in, board.at, zone) for row in rows)),
        figures("out", (wording.moment(row.expected_out, board.at, zone) for row in rows)),
    ]
    return table(words("piece", (row.piece for row in rows)), columns, width)


def _jobs(board: Board, shop: Shop, width: int) -> RenderableType:
    zone, rows = shop.hours.zone, board.jobs
    columns = [
        words("state", (f"{job_sign(row)}: {row.why}" if row.why else str(job_sign(row)) for row in rows)),
        figures("pieces", (row.pieces for row in rows)),
        figures("done", (row.finished for row in rows)),
        figures("spoiled", (row.spoiled for row in rows)),
        figures("due", (wording.moment(row.due, board.at, zone) for row in rows)),
        figures("finish", (wording.moment(row.expected_finish, board.at, zone) for row in rows)),
    ]
    return table(words("job", (f"{row.job} {row.customer}" for row in rows)), columns, width)
