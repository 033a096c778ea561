"""The chapters on what went wrong: what was spoiled and why, and which jobs were late.

Never says who spoiled a piece.
"""

from collections.abc import Sequence

from floor.core.figures.data import LateJob
from floor.reports.chapters.draft import Draft
from floor.reports.charts.bars import axis, bar, until
from floor.reports.charts.paint import ADVERSE
from floor.reports.charts.rows import Cell, Column, Named, figures
from floor.reports.charts.scale import TimeScale, scale_of, times_of
from shared import wording
from tickets.kit.blocks import Block
from tickets.kit.box import MM


def spoiled(draft: Draft) -> list[Block]:
    """What was spoiled for which reason, the costliest first."""
    reasons, title = draft.report.spoiled_by_reason, draft.say("Spoiled, by reason")
    if not reasons:
        return draft.chapter(title, [], [draft.words(draft.say("Nothing was spoiled."))])
    scale = scale_of(each.cost for each in reasons)
    columns = [
        Column(draft.say("reason"), 56 * MM),
        Column(axis(scale, draft.mark)),
        figures(draft.say("pieces"), 14),
        figures(draft.say("cost, {currency}", currency=draft.report.currency), 22),
    ]
    contents: list[Sequence[Cell]] = [
        (Named(each.reason), bar(scale, each.cost, ADVERSE), draft.count(each.pieces), draft.figure(each.cost))
        for each in reasons
    ]
    about = draft.say("The costliest first. The cost is that of all that had gone into the pieces.")
    return draft.chapter(title, [draft.words(about)], draft.table(columns, contents))


def late(draft: Draft) -> list[Block]:
    """The jobs that were finished after they were due, or were due and are still open."""
    found, title = draft.report.late, draft.say("Jobs late")
    if not found:
        return draft.chapter(title, [], [draft.words(draft.say("No job was late."))])
    scale = times_of(each.late_s for each in found)
    columns = [
        Column(draft.say("job"), 56 * MM),
        Column(axis(scale, draft.mark_of_time)),
        figures(draft.say("due"), 26),
        figures(draft.say("finished"), 26),
        figures(draft.say("late by"), 17),
    ]
    about = draft.say(
        "Finished in this week after they were due, or due by its end and not finished. The latest first."
    )
    rows = [_late(draft, scale, each) for each in found]
    return draft.chapter(title, [draft.words(about)], draft.table(columns, rows))


def _late(draft: Draft, scale: TimeScale, job: LateJob) -> Sequence[Cell]:
    finished = draft.say("still open") if job.finished is None else draft.day_and_time(job.finished)
    due, late_by = draft.day_and_time(job.due), wording.duration(job.late_s)
    return Named(job.job, [job.customer]), until(scale, job.late_s, ADVERSE), due, finished, late_by
