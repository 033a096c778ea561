"""The chapter on wet time: how near to its limit the pieces came before a press closed.

Never hides a piece that lay wet for too long.
"""

from collections.abc import Sequence

from floor import wording
from floor.reports.chapters.draft import BELOW, Draft
from floor.reports.charts.bars import axis, bar, whole
from floor.reports.charts.paint import ADVERSE, SPENT
from floor.reports.charts.rows import Cell, Column, figures
from floor.reports.charts.scale import Scale, scale_of
from floor.reports.data import WetWeek
from tickets.blocks import Block, space, together
from tickets.box import MM

TITLE = "Wet time against its limit"
ABOUT = "Pieces by how long they lay wet: elapsed, from the end of the step before until the press was closed."
LEAST = 4
"""Pieces on the axis, so that its marks are whole ones."""


def wet(draft: Draft) -> list[Block]:
    """Pieces by how long they lay wet, for each limit; nothing where none with a limit went into a press."""
    found = draft.report.wet
    if not found:
        return []
    scale = scale_of([LEAST, *(count for week in found for count in (*week.within, week.over))])
    intro = [draft.words(ABOUT), draft.key((SPENT, "within the limit"), (ADVERSE, "wet for too long"))]
    return draft.chapter(TITLE, intro, [_limit(draft, scale, week) for week in found])


def _limit(draft: Draft, scale: Scale, week: WetWeek) -> Block:
    columns = [
        Column(f"limit {wording.duration(week.limit_s)}", 56 * MM),
        Column(axis(scale, whole)),
        figures("pieces", 14),
    ]
    part_s = week.limit_s / len(week.within)
    contents: list[Sequence[Cell]] = [
        (_between(n * part_s, (n + 1) * part_s), bar(scale, count), f"{count:,}") for n, count in enumerate(week.within)
    ]
    contents.append((f"over {wording.duration(week.limit_s)}", bar(scale, week.over, ADVERSE), f"{week.over:,}"))
    times = week.wet_s
    summary = f"Median {wording.duration(times.median)}, nine in ten up to {wording.duration(times.p90)}."
    return together([*draft.table(columns, contents), space(BELOW), draft.words(summary)])


def _between(low_s: float, high_s: float) -> str:
    return f"{wording.duration(low_s)} to {wording.duration(high_s)}"
