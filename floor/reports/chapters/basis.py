"""The chapters on ink, and on what the figures stand on: what was measured, what derived, what assumed.

Never makes up a figure that nobody read.
"""

from collections.abc import Sequence
from decimal import Decimal

from floor.core.figures.data import InkWeek
from floor.reports.chapters.draft import Draft
from floor.reports.charts.bars import axis, steps
from floor.reports.charts.paint import ADVERSE, SPENT
from floor.reports.charts.rows import Cell, Column, Picture, figures
from floor.reports.charts.scale import Scale, scale_of
from tickets.kit.blocks import Block, together
from tickets.kit.box import MM


def ink(draft: Draft) -> list[Block]:
    """Ink drawn from the tanks, printed, and lost."""
    inks = draft.report.ink
    scale = scale_of(ml for each in inks.values() for ml in (each.printed_ml, each.drawn_ml or 0))
    printed, lost = draft.say("printed"), draft.say("lost")
    columns = [
        Column(draft.say("ink"), 20 * MM),
        Column(axis(scale, draft.mark)),
        figures(draft.say("drawn")),
        *map(figures, (printed, lost)),
        *map(figures, (draft.say("prints"), draft.say("of them\nread"))),
    ]
    names = {"white": draft.say("white"), "colour": draft.say("colour")}
    contents: list[Sequence[Cell]] = [
        (names[ink], _picture(scale, each), *_figures(draft, each)) for ink, each in inks.items()
    ]
    about = draft.say(
        "Millilitres. Drawn is what left the tanks, by their levels and refills. Printed is what the prints took: as "
        "read, or else as estimated. Lost is the rest: cleaning, purging, spills."
    )
    intro = [draft.words(about), draft.key((SPENT, printed), (ADVERSE, lost))]
    return draft.chapter(draft.say("Ink drawn and printed"), intro, [together(draft.table(columns, contents))])


def _picture(scale: Scale, each: InkWeek) -> Picture:
    printed = 0, each.printed_ml, SPENT
    if each.drawn_ml is None:
        return steps(scale, printed)
    return steps(scale, printed, (each.printed_ml, max(each.drawn_ml, each.printed_ml), ADVERSE))


def _figures(draft: Draft, each: InkWeek) -> Sequence[str]:
    amounts = (_ml(draft, amount) for amount in (each.drawn_ml, each.printed_ml, each.lost_ml))
    return *amounts, draft.count(each.prints), draft.count(each.read)


def _ml(draft: Draft, amount: Decimal | None) -> str:
    return draft.say("not read") if amount is None else draft.quantity(amount)


def basis(draft: Draft) -> list[Block]:
    """How many times of each step were measured, derived and assumed."""
    steps = draft.report.steps
    title = draft.say("Measured, derived, assumed")
    if not steps:
        return draft.chapter(title, [], [draft.words(draft.say("No step was done."))])
    kinds = draft.say("measured"), draft.say("derived"), draft.say("assumed")
    columns = [Column(draft.say("step")), *(figures(kind, 26) for kind in kinds)]
    contents: list[Sequence[str]] = []
    for step, week in steps.items():
        times = week.processing_s
        contents.append((step, *map(draft.count, (times.n - times.derived, times.derived, times.assumed))))
    about = draft.say(
        "Measured: start and end were scanned. Derived: the end was scanned, the start follows from the reads before "
        "it. Assumed: the step was not scanned, a later read shows that it was done; it is left out of all times."
    )
    return draft.chapter(title, [draft.words(about)], draft.table(columns, contents))
