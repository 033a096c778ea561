"""The chapters on curing: how near to its limit the pieces came before a press closed, and what stayed in it too long.

Never hides a piece that lay wet, or in a press, for too long.
"""

from collections.abc import Sequence

from floor.core.figures.data import OverTime, WetWeek
from floor.reports.chapters.draft import BELOW, Draft
from floor.reports.charts.bars import axis, bar
from floor.reports.charts.paint import ADVERSE, SPENT
from floor.reports.charts.rows import Cell, Column, Named, figures
from floor.reports.charts.scale import Scale, scale_of
from shared import wording
from shared.codes import grouped
from tickets.kit.blocks import Block, space, together
from tickets.kit.box import MM

LEAST = 4
"""Pieces on the axis, so that its marks are whole ones."""


def wet(draft: Draft) -> list[Block]:
    """Pieces by how long they lay wet, for each limit; nothing where none with a limit went into a press."""
    found = draft.report.wet
    if not found:
        return []
    scale = scale_of([LEAST, *(count for week in found for count in (*week.within, week.over))])
    about = draft.say(
        "Pieces by how long they lay wet: elapsed, from the end of the step before until the press was closed."
    )
    key = draft.key((SPENT, draft.say("within the limit")), (ADVERSE, draft.say("wet for too long")))
    title, intro = draft.say("Wet time against its limit"), [draft.words(about), key]
    return draft.chapter(title, intro, [_limit(draft, scale, week) for week in found])


def _limit(draft: Draft, scale: Scale, week: WetWeek) -> Block:
    limit = wording.duration(week.limit_s)
    columns = [
        Column(draft.say("limit {duration}", duration=limit), 56 * MM),
        Column(axis(scale, draft.mark)),
        figures(draft.say("pieces"), 14),
    ]
    part_s = week.limit_s / len(week.within)
    contents: list[Sequence[Cell]] = [
        (_between(draft, n * part_s, (n + 1) * part_s), bar(scale, count), draft.count(count))
        for n, count in enumerate(week.within)
    ]
    over = draft.say("over {duration}", duration=limit)
    contents.append((over, bar(scale, week.over, ADVERSE), draft.count(week.over)))
    median, most = wording.duration(week.wet_s.median), wording.duration(week.wet_s.p90)
    summary = draft.say("Median {median}, nine in ten up to {most}.", median=median, most=most)
    return together([*draft.table(columns, contents), space(BELOW), draft.words(summary)])


def over_time(draft: Draft) -> list[Block]:
    """What stayed in a press beyond its time; nothing where nothing did."""
    stays = draft.report.over_time
    if not stays:
        return []
    columns = [
        Column(draft.say("piece")),
        Column(draft.say("press"), 40 * MM),
        figures(draft.say("opened"), 30),
        figures(draft.say("pressed for"), 24),
        figures(draft.say("at least"), 24),
    ]
    about = draft.say("Ink, blank or finish may have suffered: these pieces need eyes before they are handed over.")
    rows = [_over_time(draft, stay) for stay in stays]
    return draft.chapter(draft.say("Too long in a press"), [draft.words(about)], draft.table(columns, rows))


def _over_time(draft: Draft, stay: OverTime) -> Sequence[Cell]:
    held, least = wording.duration(stay.held_s), wording.duration(stay.least_s)
    opened = draft.day_and_time(stay.opened)
    return Named(grouped(stay.piece), [stay.job]), stay.press or wording.NO_FIGURE, opened, held, least


def _between(draft: Draft, low_s: float, high_s: float) -> str:
    return draft.say("{first} to {last}", first=wording.duration(low_s), last=wording.duration(high_s))
