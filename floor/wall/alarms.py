"""The top of the wall: what is wrong with the wall itself, then every alarm, the most pressing first.

Never leaves an alarm out: what does not fit one to a row is told together with its like.
"""

from collections.abc import Sequence
from datetime import timedelta

from msgspec import Struct
from rich.cells import cell_len
from rich.console import RenderableType
from rich.text import Text

from floor.core.plan.board import AlarmLine, Board
from floor.wall.look import BASE, BOLD, chip, grid, more, right, said, tone
from floor.wall.signs import UNCLEAR, Sign, alarm_rank, alarm_sign
from shared import wording
from shared.codes import grouped
from shared.files.shop import Shop
from shared.harmless import harmless

CHIP = 20
SINCE = 7
SINCE_FROM = 50
"""The columns from which it is told since when."""
NO_ALARM = Sign("NO ALARM", "fine")
PAST = Sign("PAST", "soon")
NOT_RUNNING = Sign("NOT RUNNING", "urgent")
NOT_RECORDED = Sign("NOT RECORDED", "urgent")
OLD = Sign("OLD", "urgent")

NOTHING_RECORDED = "NOTHING IS RECORDED"
REFUSED = "every scan is refused until the ledger can be written to again"
"""As the station's screen says it."""


class Notice(Struct, frozen=True, kw_only=True):
    """One row: its sign, the whole sentence, and the few words that do where the sentence is too long."""

    sign: Sign
    say: str
    few: str
    since_s: float | None = None
    alike: int = 1
    """So many of its kind are told together."""


class Showing(Struct, frozen=True, kw_only=True):
    """What a wall shows, apart from the board: a past moment, an old one, a floor that does not run, or not record."""

    past: bool = False
    stale_s: float | None = None
    running: bool = True
    recording: bool = True


def notices(board: Board, shop: Shop, showing: Showing) -> list[Notice]:
    """All that must be said at the top, in the order in which it matters."""
    alarms = [_alarm(board, alarm) for alarm in sorted(board.alarms, key=alarm_rank)]
    unclear = [
        Notice(sign=UNCLEAR, say=f"{grouped(piece)}: its scans contradict each other; settle it.", few=grouped(piece))
        for piece in board.contradictions
    ]
    return [*_about_the_wall(board, shop, showing), *alarms, *unclear]


def _about_the_wall(board: Board, shop: Shop, showing: Showing) -> list[Notice]:
    if showing.past:
        at = wording.full_moment(board.at, shop.hours.zone)
        return [Notice(sign=PAST, say=f"The floor as it was on {at}.", few=at)]
    found = []
    if not showing.running:
        few = "no scan is taken"
        found.append(Notice(sign=NOT_RUNNING, say=f"The floor is not running: {few}.", few=few))
    if not showing.recording:
        few, why = map(shop.words.say, (NOTHING_RECORDED, REFUSED))
        found.append(Notice(sign=NOT_RECORDED, say=f"{few}: {why}.", few=few))
    if showing.stale_s is not None:
        age = wording.duration(showing.stale_s)
        found.append(Notice(sign=OLD, say=f"What you see is {age} old.", few=f"{age} old"))
    return found


def _alarm(board: Board, alarm: AlarmLine) -> Notice:
    pieces = [alarm.piece] if alarm.piece else _still_in(board, alarm.subject)
    say = alarm.say
    for piece in pieces:
        say = say.replace(piece, grouped(piece))
    about = [alarm.station, None if alarm.piece else alarm.subject, *map(grouped, pieces)]
    return Notice(
        sign=alarm_sign(alarm),
        say=say,
        few=" · ".join(dict.fromkeys(filter(None, about))),
        since_s=max((board.at - alarm.since) / timedelta(seconds=1), 0.0),
    )


def _still_in(board: Board, station: str) -> list[str]:
    """The pieces in a press that is down: they had had their time, and wait to be taken out."""
    return [line.piece for line in board.presses if line.station == station and line.down_since and line.piece]


def kinds(found: Sequence[Notice]) -> int:
    """How many rows the notices need at the very least."""
    return len({notice.sign for notice in found})


def alarm_rows(found: Sequence[Notice], width: int, room: int) -> RenderableType:
    """The notices in so many rows: each on its own, or else all of one kind in one row."""
    since = SINCE if width >= SINCE_FROM else 0
    text_width = max(width - CHIP - since - 1 - bool(since), 1)
    rows = [_fitted(notice, text_width) for notice in found]
    if len(rows) > room:
        rows = [_together(alike, text_width) for alike in by_sign(found)]
    shown = rows if len(rows) <= room else rows[: max(room - 1, 0)]
    cells = [[chip(row.sign, CHIP, row.alike), right(said(_since(row))), said(row.say, BASE + BOLD)] for row in shown]
    if len(shown) < len(rows):
        cells.append([more(len(rows) - len(shown), "kinds of alarm"), said(""), said("")])
    if not rows:
        cells.append([Text(f" {NO_ALARM}", tone(NO_ALARM)), said(""), said("")])
    if not since:
        return grid([CHIP, text_width], [[sign, say] for sign, _, say in cells])
    return grid([CHIP, since, text_width], cells)


def _since(notice: Notice) -> str:
    if notice.since_s is None:
        return ""
    return wording.minutes(notice.since_s) if notice.since_s >= wording.MINUTE_S else "now"


def _fitted(notice: Notice, width: int) -> Notice:
    """A sentence is told whole or not at all: cut off, it could say something else."""
    fits = cell_len(harmless(notice.say)) <= width
    return notice if fits else Notice(sign=notice.sign, say=notice.few, few=notice.few, since_s=notice.since_s)


def by_sign(found: Sequence[Notice]) -> list[list[Notice]]:
    """Notices of one kind together, kinds in the order in which they matter."""
    alike: dict[Sign, list[Notice]] = {}
    for notice in found:
        alike.setdefault(notice.sign, []).append(notice)
    return list(alike.values())


def _together(alike: Sequence[Notice], width: int) -> Notice:
    if len(alike) == 1:
        return _fitted(alike[0], width)
    oldest = max((notice.since_s for notice in alike if notice.since_s is not None), default=None)
    say = _as_many_as_fit([notice.few for notice in alike], width)
    return Notice(sign=alike[0].sign, say=say, few=say, since_s=oldest, alike=len(alike))


def _as_many_as_fit(words: Sequence[str], width: int) -> str:
    """Words in a list, and how many more there are: "1000 0001 37, 1000 0002 34 +3"."""
    text = ""
    for shown in range(1, len(words) + 1):
        rest = f" +{len(words) - shown}" if shown < len(words) else ""
        longer = ", ".join(map(harmless, words[:shown])) + rest
        if text and cell_len(longer) > width:
            break
        text = longer
    return text
