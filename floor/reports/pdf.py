"""The week's report on paper (PDF), in the shop's language: a page that answers, then pages that explain.

Never computes a figure: all of them stand in the report.
"""

from collections.abc import Callable, Sequence
from typing import BinaryIO

from floor.core.figures.data import WeekReport
from floor.reports.chapters.basis import basis, ink
from floor.reports.chapters.draft import Draft
from floor.reports.chapters.front import front
from floor.reports.chapters.hands import hands
from floor.reports.chapters.losses import late, spoiled
from floor.reports.chapters.machines import machines
from floor.reports.chapters.money import bridge, causes, elements, jobs
from floor.reports.chapters.times import times
from floor.reports.chapters.wet import over_time, wet
from floor.reports.charts.rows import SMALL
from shared.files.shop import Shop
from tickets.kit.blocks import Block, pages, stack
from tickets.kit.box import MM, Box
from tickets.kit.fonts import LEADING
from tickets.kit.pages import new_pen
from tickets.kit.paper import SHEETS
from tickets.kit.pen import Pen
from tickets.kit.tagged import TaggedPen

Chapter = Callable[[Draft], list[Block]]
CHAPTERS: Sequence[Chapter] = (
    *(front, bridge, causes, elements, jobs, spoiled, late),
    *(times, wet, over_time, machines, hands, ink, basis),
)
FOOT = LEADING * SMALL


def write_pdf(report: WeekReport, shop: Shop, out: BinaryIO) -> None:
    """The report as a PDF with bookmarks, on the paper of the shop's quotations; the same bytes for the same report."""
    paper = SHEETS[shop.file.quotation.paper]
    what = _what(report, shop)
    pen = TaggedPen(new_pen(out, paper, title=what, author=shop.name, words=shop.words).canvas, paper)
    pen.canvas.showOutline()
    foot, room = Box(0, 0, *paper.page).inset(paper.margin_mm * MM).cut_bottom(FOOT, 4 * MM)
    draft = Draft(pen=pen, report=report, shop=shop, width=room.width, height=room.height)
    kept = shop.words.say("{what} · ledger {anchor}", what=what, anchor=report.anchor) if report.anchor else what
    found = list(pages([block for chapter in CHAPTERS for block in chapter(draft)], room.height))
    for number, blocks in enumerate(found, start=1):
        stack(room, blocks)
        _foot(pen, kept, draft.say("Page {number} of {count}", number=number, count=len(found)), foot)
        pen.end_page()
    pen.save()


def _what(report: WeekReport, shop: Shop) -> str:
    return shop.words.say(
        "{shop}, week {week}, revision {revision}" if report.revision else "{shop}, week {week}",
        shop=shop.name,
        week=report.week,
        revision=report.revision,
    )


def _foot(pen: Pen, what: str, page: str, box: Box) -> None:
    right, left = box.cut_right(30 * MM, 4 * MM)
    pen.words(left, what, "regular", size=SMALL)
    pen.words(right, page, "regular", size=SMALL, align="right")
