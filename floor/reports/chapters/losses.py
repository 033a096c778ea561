"""The chapters on what went wrong: what was spoiled and why, and which jobs were late.

Never says who spoiled a piece.
"""

from collections.abc import Sequence

from floor import wording
from floor.reports.chapters.draft import Draft
from floor.reports.charts.bars import axis, bar, named_time, until, whole
from floor.reports.charts.paint import ADVERSE
from floor.reports.charts.rows import Cell, Column, Named, figures
from floor.reports.charts.scale import Times, scale_of, times_of
from floor.reports.data import LateJob
from tickets.blocks import Block
from tickets.box import MM

SPOILED, LATE = "Spoiled, by reason", "Jobs late"


def spoiled(draft: Draft) -> list[Block]:
    """What was spoiled for which reason, the costliest first."""
    reasons = draft.report.spoiled_by_reason
    if not reasons:
        return draft.chapter(SPOILED, [], [draft.words("Nothing was spoiled.")])
    scale = scale_of(each.cost for each in reasons)
    columns = [
        Column("reason", 56 * MM),
        Column(axis(scale, whole)),
        figures("pieces", 14),
        figures(f"cost, {draft.report.currency}", 22),
    ]
    contents: list[Sequence[Cell]] = [
        (Named(each.reason), bar(scale, each.cost, ADVERSE), f"{each.pieces:,}", draft.figure(each.cost))
        for each in reasons
    ]
    about = "The costliest first. The cost is that of all that had gone into the pieces."
    return draft.chapter(SPOILED, [draft.words(about)], draft.table(columns, contents))


def late(draft: Draft) -> list[Block]:
    """The jobs that were finished after they were due, or were due and are still open."""
    found = draft.report.late
    if not found:
        return draft.chapter(LATE, [], [draft.words("No job was late.")])
    scale = times_of(each.late_s for each in found)
    columns = [
        Column("job", 56 * MM),
        Column(axis(scale, named_time)),
        figures("due", 26),
        figures("finished", 26),
        figures("late by", 17),
    ]
    about = "Finished in this week after they were due, or due by its end and not finished. The latest first."
    return draft.chapter(
        LATE, [draft.words(about)], draft.table(columns, [_late(draft, scale, each) for each in found])
    )


def _late(draft: Draft, scale: Times, job: LateJob) -> Sequence[Cell]:
    zone = draft.shop.hours.zone
    finished = "still open" if job.finished is None else wording.day_and_time(job.finished, zone)
    due, late_by = wording.day_and_time(job.due, zone), wording.duration(job.late_s)
    return Named(job.job, [job.customer]), until(scale, job.late_s, ADVERSE), due, finished, late_by
