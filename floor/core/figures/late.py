"""Jobs that were late in a week, and how late.

Never counts a job late again in the week after the one in which it was finished.
"""

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal

from floor.core.figures.data import LateJob
from floor.core.state.floor import Floor
from floor.core.state.job import Job
from floor.core.times.spans import elapsed


def late_jobs(floor: Floor, start: datetime, until: datetime) -> list[LateJob]:
    """Jobs that were finished after they were due, in this week, or were due and still open at its end.

    The latest first.
    """
    return sorted(_late(floor, start, until), key=lambda each: (-each.late_s, each.job))


def _late(floor: Floor, start: datetime, until: datetime) -> Iterator[LateJob]:
    for job in floor.jobs.values():
        due = job.due
        kept = [piece for piece in job.pieces if piece.state in {"open", "finished"}]
        if max(due, job.added) >= until or not kept:
            continue
        ends = [piece.finished for piece in kept]
        known = [end for end in ends if end is not None and end < until]
        if len(known) < len(ends):
            yield _late_job(job, None, until)
        elif max(known) > due and max(known) >= start:
            yield _late_job(job, max(known), until)


def _late_job(job: Job, finished: datetime | None, until: datetime) -> LateJob:
    due = job.due
    late_s = elapsed(due, finished or until).total_seconds()
    price = sum((line.price_each * line.quantity for line in job.lines), Decimal(0))
    return LateJob(job=job.code, customer=job.customer, due=due, finished=finished, late_s=late_s, price=price)
