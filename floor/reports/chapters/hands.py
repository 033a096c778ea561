"""The chapter on hands: the hours that were paid, and those that went into pieces.

Never says that the rest was idle: only that no piece shows it.
"""

from collections.abc import Sequence

from floor import wording
from floor.reports.chapters.draft import Draft
from floor.reports.charts.bars import axis, quoted_and_actual, whole
from floor.reports.charts.paint import ADVERSE, FAVOURABLE, PLANNED, SPENT
from floor.reports.charts.rows import Cell, Column, Named, figures
from floor.reports.charts.scale import Scale, scale_of
from floor.reports.data import HandsWeek
from tickets.blocks import Block
from tickets.box import MM

TITLE = "Hours paid, and hours in pieces"
ABOUT = (
    "Hours. Upper bar: from sign-in to sign-out. Lower bar: what of that went into pieces. The rest is setting up, "
    "cleaning, waiting and all else that no piece shows."
)
NOBODY = "nobody signed in"


def hands(draft: Draft) -> list[Block]:
    """Each pair of hands; nothing where there were none."""
    found = draft.report.hands
    if not found:
        return []
    scale = scale_of(seconds / wording.HOUR_S for each in found for seconds in (each.paid_s, each.absorbed_s))
    columns = [
        Column("hands", 34 * MM),
        Column(axis(scale, whole)),
        *(figures(heading) for heading in ("paid", "in pieces", "the rest", f"the rest,\n{draft.report.currency}")),
    ]
    key = draft.key(
        (PLANNED, "paid"), (SPENT, "in pieces"), (FAVOURABLE, "not in any piece"), (ADVERSE, "more than was paid")
    )
    return draft.chapter(
        TITLE, [draft.words(ABOUT), key], draft.table(columns, [_row(draft, scale, its) for its in found])
    )


def _row(draft: Draft, scale: Scale, its: HandsWeek) -> Sequence[Cell]:
    hours = [seconds / wording.HOUR_S for seconds in (its.paid_s, its.absorbed_s, its.unattributed_s)]
    picture = quoted_and_actual(scale, hours[0], hours[1])
    return Named(its.badge or NOBODY), picture, *map(wording.quantity, hours), draft.figure(its.unattributed)
