"""The page that answers: what mattered most, the three things next to it, and the few figures of the week.

Never explains: the chapters behind it do.
"""

from collections.abc import Sequence
from datetime import timedelta

from msgspec import Struct

from floor.core.figures.data import JobWeek, WeekReport
from floor.reports.chapters.draft import ABOVE, BELOW, Draft, signed
from tickets.kit.blocks import Block, paragraph, space
from tickets.kit.box import MM, Box
from tickets.kit.fonts import LEADING
from tickets.kit.pen import LINE_MM, Pen

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
    _, end = draft.shop.hours.week_bounds(draft.report.week)
    first, last = draft.day(draft.report.start), draft.day(end - timedelta(microseconds=1))
    return [
        draft.words(draft.shop.name, LINE),
        draft.title(draft.say("Week {week}", week=draft.report.week), WEEK),
        draft.words(draft.say("{first} to {last}", first=first, last=last), LINE),
    ]


def _notices(draft: Draft) -> list[Block]:
    return [block for text in _told(draft) for block in (space(BELOW), _notice(draft, text))]


def _told(draft: Draft) -> list[str]:
    """What a reader must know before any figure."""
    found, report = [], draft.report
    if report.revision:
        revision = draft.say(
            "Revision {revision}. Facts of this week came after it had been reported. "
            "This report takes the place of the one before it.",
            revision=report.revision,
        )
        found.append(revision)
    _, end = draft.shop.hours.week_bounds(report.week)
    if report.until < end:
        until = draft.day_and_time(report.until)
        found.append(draft.say("This week still runs. All figures are those up to {moment}.", moment=until))
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
    margin = draft.say("quoted {amount}", amount=draft.figure(total.margin_quoted))
    return (
        Tile(draft.say("Margin made"), draft.money(total.margin_made), margin),
        Tile(draft.say("Cost"), draft.money(total.actual["total"]), _cost(draft, total)),
        Tile(draft.say("Price of what was finished"), draft.money(total.price), ""),
    )


def _cost(draft: Draft, total: JobWeek) -> str:
    return draft.say(
        "quoted {amount}: {variance}; besides, {spoilage} spoiled beyond the allowance"
        if total.abnormal_spoilage
        else "quoted {amount}: {variance}",
        amount=draft.figure(total.quoted["total"]),
        variance=signed(total.variance_total, draft.figure(total.variance_total)),
        spoilage=draft.figure(total.abnormal_spoilage),
    )


def _work_tiles(draft: Draft) -> Sequence[Tile]:
    report = draft.report
    inspected = draft.say("nothing was inspected" if report.first_pass_yield is None else "of those inspected")
    return (
        Tile(draft.say("Pieces finished"), draft.count(report.finished), _pieces(draft, report)),
        Tile(draft.say("Good at first inspection"), draft.percent(report.first_pass_yield), inspected),
        Tile(draft.say("Jobs late"), draft.count(len(report.late_jobs)), _late(draft, report.late_jobs)),
    )


def _pieces(draft: Draft, report: WeekReport) -> str:
    spoiled, still_open = draft.count(report.spoiled), draft.count(report.open)
    if report.throughput_per_hour is None:
        return draft.say("{spoiled} spoiled, {open} open", spoiled=spoiled, open=still_open)
    return draft.say(
        "{finished} in a working hour; {spoiled} spoiled, {open} open",
        finished=draft.quantity(report.throughput_per_hour),
        spoiled=spoiled,
        open=still_open,
    )


def _late(draft: Draft, jobs: Sequence[str]) -> str:
    named = ", ".join(jobs[:LATE_MOST])
    if len(jobs) <= LATE_MOST:
        return named
    return draft.say("{jobs} and {count} more", jobs=named, count=len(jobs) - LATE_MOST)


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
