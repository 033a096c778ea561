"""The chapters on ink, and on what the figures stand on: what was measured, what derived, what assumed.

Never makes up a figure that nobody read.
"""

from collections.abc import Sequence
from decimal import Decimal

from floor import wording
from floor.reports.chapters.draft import Draft
from floor.reports.charts.bars import axis, steps, whole
from floor.reports.charts.paint import ADVERSE, SPENT
from floor.reports.charts.rows import Cell, Column, Picture, figures
from floor.reports.charts.scale import Scale, scale_of
from floor.reports.data import InkWeek
from floor.reports.terminal import NOT_READ
from tickets.blocks import Block, together
from tickets.box import MM

MEANS = (
    "Measured: start and end were scanned. Derived: the end was scanned, the start follows from the reads before it. "
    "Assumed: the step was not scanned, a later read shows that it was done; it is left out of all times."
)
INK = (
    "Millilitres. Drawn is what left the tanks, by their levels and refills. Printed is what the prints took: as read, "
    "or else as estimated. "
    "Lost is the rest: cleaning, purging, spills."
)


def ink(draft: Draft) -> list[Block]:
    """Ink drawn from the tanks, printed, and lost."""
    inks = draft.report.ink
    scale = scale_of(ml for each in inks.values() for ml in (each.printed_ml, each.drawn_ml or 0))
    columns = [
        Column("ink", 20 * MM),
        Column(axis(scale, whole)),
        *(figures(heading) for heading in ("drawn", "printed", "lost", "prints", "of them\nread")),
    ]
    contents: list[Sequence[Cell]] = [(name, _picture(scale, each), *_figures(each)) for name, each in inks.items()]
    intro = [draft.words(INK), draft.key((SPENT, "printed"), (ADVERSE, "lost"))]
    return draft.chapter("Ink drawn and printed", intro, [together(draft.table(columns, contents))])


def _picture(scale: Scale, each: InkWeek) -> Picture:
    printed = 0, each.printed_ml, SPENT
    if each.drawn_ml is None:
        return steps(scale, printed)
    return steps(scale, printed, (each.printed_ml, max(each.drawn_ml, each.printed_ml), ADVERSE))


def _figures(each: InkWeek) -> Sequence[str]:
    return _ml(each.drawn_ml), _ml(each.printed_ml), _ml(each.lost_ml), f"{each.prints:,}", f"{each.read:,}"


def _ml(amount: Decimal | None) -> str:
    return NOT_READ if amount is None else wording.quantity(amount)


def basis(draft: Draft) -> list[Block]:
    """How many times of each step were measured, derived and assumed."""
    steps = draft.report.steps
    title = "Measured, derived, assumed"
    if not steps:
        return draft.chapter(title, [], [draft.words("No step was done.")])
    columns = [Column("step"), *(figures(what, 26) for what in ("measured", "derived", "assumed"))]
    contents: list[Sequence[str]] = []
    for step, week in steps.items():
        times = week.processing_s
        contents.append((step, f"{times.n - times.derived:,}", f"{times.derived:,}", f"{times.assumed:,}"))
    return draft.chapter(title, [draft.words(MEANS)], draft.table(columns, contents))
