"""The chapter on times: cycle, queuing and processing, each as the range in which most of them lie.

Never mixes elapsed with working time: each row says which it is.
"""

from collections.abc import Sequence

from floor.core.times.cycle import Figures
from floor.reports.chapters.draft import Draft
from floor.reports.charts.bars import axis, range_of
from floor.reports.charts.rows import Cell, Column, figures
from floor.reports.charts.scale import TimeScale, times_of
from shared import wording
from tickets.kit.blocks import Block, together
from tickets.kit.box import MM


def times(draft: Draft) -> list[Block]:
    """All times of the week."""
    report = draft.report
    if not report.steps:
        return []
    reading = draft.say(
        "Box: the middle half of them. Thick line: the median. Thin line: from what one in ten stayed below to what "
        "nine in ten stayed below. Each mark of the axis is several times the one before it."
    )
    cycle = {draft.say("elapsed"): report.cycle_time_s, draft.say("working"): report.cycle_time_working_s}
    queuing = {step: week.queuing_s for step, week in report.steps.items()}
    processing = {step: week.processing_s for step, week in report.steps.items()}
    return [
        *_chapter(draft, draft.say("Cycle time: from the first start to the last end"), cycle, [draft.words(reading)]),
        *_chapter(draft, draft.say("Queuing time: elapsed since the step before"), queuing, []),
        *_chapter(draft, draft.say("Processing time: elapsed, from start to end"), processing, []),
    ]


def _chapter(draft: Draft, title: str, found: dict[str, Figures], intro: list[Block]) -> list[Block]:
    scale = times_of(seconds for each in found.values() for seconds in (each.p10, each.p90))
    columns = [
        Column("", 34 * MM),
        Column(axis(scale, draft.mark_of_time)),
        figures("n", 12),
        *(figures(heading, 19) for heading in (draft.say("median"), draft.say("nine in ten"), draft.say("mean"))),
    ]
    contents = [_row(draft, scale, name, each) for name, each in found.items()]
    return draft.chapter(title, intro, [together(draft.table(columns, contents))])


def _row(draft: Draft, scale: TimeScale, name: str, each: Figures) -> Sequence[Cell]:
    shown = [wording.duration(seconds) for seconds in (each.median, each.p90, each.mean)]
    return name, range_of(scale, each), draft.count(each.n), *shown
