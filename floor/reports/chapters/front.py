"""The page that answers: what mattered most, the three things next to it, and the few figures of the week.

Never explains: the chapters behind it do.
"""

from collections.abc import Sequence
from datetime import timedelta

from msgspec import Struct

from floor import wording
from floor.reports.chapters.draft import ABOVE, BELOW, Draft, signed
from floor.reports.data import WeekReport
from tickets.blocks import Block, paragraph, space
from tickets.box import MM, Box
from tickets.fonts import LEADING
from tickets.pen import LINE_MM, Pen

WEEK, LINE = 24.0, 12.0
SIZES = (19.0, 12.0), (16.0, 10.5), (13.0, 9.0), (11.0, 8.0)
"""Of the first headline, and of those next to it."""
WORD, VALUE, NOTE = 9.5, 22.0, 9.5
"""Points."""
GAP = 6 * MM
NOTE_LINES = 3
LATE_MOST = 6
"""So many late jobs are named on the first page; a chapter names them all."""


class Tile(Struct, frozen=True):
    """A figure, what it is, and what it is held against."""

    word: str
    value: str
    note: str


def front(draft: Draft) -> list[Block]:
    """The first page; where long names fill it, in smaller letters."""
    tries = (_front(draft, *sizes) for sizes in SIZES)
    return next((found for found in tries if _height(found) <= draft.height), _front(draft, *SIZES[-1]))


def _height(blocks: Sequence[Block]) -> float:
    return sum(block.height for block in blocks)


def _front(draft: Draft, first: float, others: float) -> list[Block]:
    return [
        *_heading(draft),
        *_notices(draft),
        space(ABOVE),
        *_headlines(draft, first, others),
        space(ABOVE),
        *(_tiles(draft.pen, row) for row in _rows(draft)),
    ]


def _heading(draft: Draft) -> list[Block]:
    report, zone = draft.report, draft.shop.hours.zone
    _, end = draft.shop.hours.week_bounds(report.week)
    days = f"{wording.day(report.start, zone)} to {wording.day(end - timedelta(microseconds=1), zone)}"
    return [draft.words(draft.shop.name, LINE), draft.title(f"Week {report.week}", WEEK), draft.words(days, LINE)]


def _notices(draft: Draft) -> list[Block]:
    return [block for text in _told(draft) for block in (space(BELOW), _notice(draft, text))]


def _told(draft: Draft) -> list[str]:
    """What a reader must know before any figure."""
    found, report = [], draft.report
    if report.revision:
        found.append(
            f"Revision {report.revision}. Facts of this week came after it had been reported. "
            "This report takes the place of the one before it."
        )
    _, end = draft.shop.hours.week_bounds(report.week)
    if report.until < end:
        until = wording.day_and_time(report.until, draft.shop.hours.zone)
        found.append(f"This week still runs. All figures are those up to {until}.")
    return found


def _notice(draft: Draft, text: str) -> Block:
    pad = 2.5 * MM
    words = paragraph(draft.pen, text, draft.width - 2 * pad, LINE, "bold")

    def draw(box: Box) -> None:
        draft.pen.outlined(box)
        words.draw(box.inset(pad))

    return Block(words.height + 2 * pad, draw)


def _headlines(draft: Draft, first: float, others: float) -> list[Block]:
    pen, width = draft.pen, draft.width
    says = [headline.say for headline in draft.report.headlines]
    found = [paragraph(pen, says[0], width, first, "bold")]
    for say in says[1:]:
        found += [space(BELOW), paragraph(pen, say, width, others)]
    return found


def _rows(draft: Draft) -> list[Sequence[Tile]]:
    return [_money_tiles(draft), _work_tiles(draft)]


def _money_tiles(draft: Draft) -> Sequence[Tile]:
    total = draft.report.total
    more = signed(total.variance_total, draft.figure(total.variance_total))
    beyond = f"; besides, {draft.figure(total.abnormal_spoilage)} spoiled beyond the allowance"
    cost = f"quoted {draft.figure(total.quoted['total'])}: {more}{beyond if total.abnormal_spoilage else ''}"
    return (
        Tile("Margin made", draft.money(total.margin_made), f"quoted {draft.figure(total.margin_quoted)}"),
        Tile("Cost", draft.money(total.actual["total"]), cost),
        Tile("Price of what was finished", draft.money(total.price), ""),
    )


def _work_tiles(draft: Draft) -> Sequence[Tile]:
    report = draft.report
    inspected = report.first_pass_yield is not None
    return (
        Tile("Pieces finished", f"{report.finished:,}", _pieces(report)),
        Tile(
            "Good at first inspection",
            wording.percent(report.first_pass_yield),
            "of those inspected" if inspected else "nothing was inspected",
        ),
        Tile("Jobs late", f"{len(report.late_jobs):,}", _late(report.late_jobs)),
    )


def _pieces(report: WeekReport) -> str:
    others = f"{report.spoiled:,} spoiled, {report.open:,} open"
    if report.throughput_per_hour is None:
        return others
    return f"{wording.quantity(report.throughput_per_hour)} in a working hour; {others}"


def _late(jobs: Sequence[str]) -> str:
    named = ", ".join(jobs[:LATE_MOST])
    return f"{named} and {len(jobs) - LATE_MOST} more" if len(jobs) > LATE_MOST else named


def _tiles(pen: Pen, tiles: Sequence[Tile]) -> Block:
    heights = LEADING * WORD, LEADING * VALUE, NOTE_LINES * LEADING * NOTE

    def draw(box: Box) -> None:
        for tile, cell in zip(tiles, box.columns(len(tiles), GAP), strict=True):
            _tile(pen, tile, heights, cell)

    return Block(sum(heights) + GAP, draw)


def _tile(pen: Pen, tile: Tile, heights: Sequence[float], box: Box) -> None:
    pen.filled(box.cut_top(pen.whole(LINE_MM))[0])
    word, rest = box.cut_top(heights[0] + BELOW)
    value, rest = rest.cut_top(heights[1])
    with pen.element("P"):
        pen.words(word, tile.word, "regular", size=WORD)
        pen.words(value, tile.value, size=VALUE)
        pen.words(rest.cut_top(heights[2])[0], tile.note, "regular", size=NOTE, lines=NOTE_LINES, stand="top")
