"""The chapter on hands: the hours that were paid, and those that went into pieces.

Never says that the rest was idle: only that no piece shows it.
"""

from collections.abc import Sequence

from floor.core.figures.data import HandsWeek
from floor.reports.chapters.draft import Draft
from floor.reports.charts.bars import TWO_BARS, axis, quoted_and_actual
from floor.reports.charts.paint import FAVOURABLE, PLANNED, SPENT
from floor.reports.charts.rows import Cell, Column, Named, figures
from floor.reports.charts.scale import Scale, scale_of
from shared.wording import HOUR_S, NO_FIGURE
from tickets.kit.blocks import Block
from tickets.kit.box import MM


def hands(draft: Draft) -> list[Block]:
    """Each pair of hands; nothing where there were none."""
    found = draft.report.hands
    if not found:
        return []
    scale = scale_of(seconds / HOUR_S for each in found for seconds in (each.paid_s, each.absorbed_s))
    paid, absorbed, rest = draft.say("paid"), draft.say("in pieces"), draft.say("the rest")
    in_money = draft.say("the rest,\n{currency}", currency=draft.report.currency)
    columns = [
        Column(draft.say("hands"), 34 * MM),
        Column(axis(scale, draft.mark)),
        *map(figures, (paid, absorbed, rest, in_money, draft.say("not\nsigned out"))),
    ]
    about = draft.say(
        "Hours. Upper bar: from the first read of a shift to the sign-out, or else to the last read. Lower bar: what "
        "of that went into pieces. The rest is setting up, cleaning, waiting and all else that no piece shows."
    )
    beyond = FAVOURABLE, draft.say("not in any piece")
    intro = [draft.words(about), draft.key((PLANNED, paid), (SPENT, absorbed), beyond)]
    rows = [_row(draft, scale, its) for its in found]
    table = draft.table(columns, rows, least=TWO_BARS)
    return draft.chapter(draft.say("Hours paid, and hours in pieces"), intro, table)


def _row(draft: Draft, scale: Scale, its: HandsWeek) -> Sequence[Cell]:
    hours = [seconds / HOUR_S for seconds in (its.paid_s, its.absorbed_s, its.unattributed_s)]
    picture = quoted_and_actual(scale, hours[0], hours[1])
    badge = its.badge or draft.say("nobody signed in")
    return Named(badge), picture, *map(draft.quantity, hours), draft.figure(its.unattributed), _shifts(draft, its)


def _shifts(draft: Draft, its: HandsWeek) -> str:
    return draft.count(its.not_signed_out) if its.badge else NO_FIGURE
