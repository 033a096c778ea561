"""When each job will be finished, and whether that is too late.

Never plays by itself: floor.core.plan.outlook does.
"""

from collections.abc import Mapping
from datetime import datetime, timedelta

from floor.core.plan.outlook import outlook
from floor.core.state.floor import Floor
from floor.core.state.job import Job
from shared.events.jobs import JobForetold
from shared.events.recorded import Fact
from shared.files.shop import Shop

SURE = timedelta(minutes=5)
NO_TIME = timedelta(0)


def expected_finishes(floor: Floor, shop: Shop, now: datetime) -> dict[str, datetime]:
    """When each job with open pieces can be expected to be finished, by job.

    Held jobs are not expected, nor are those that cannot get on, for all the stations of a step are down.
    """
    return {job: finish for job, finish in outlook(floor, shop, now).finishes().items() if finish is not None}


def foretell(floor: Floor, expected: Mapping[str, datetime], now: datetime) -> list[Fact]:
    """What is to be noted of jobs that were taken since: when each is expected, so that it can be held against it."""
    new = (code for code in expected if code in floor.jobs and floor.jobs[code].foretold is None)
    return [Fact(event=JobForetold(job=code, expected=expected[code]), occurred_at=now) for code in new]


def late(floor: Floor, job: Job, expected: datetime | None, now: datetime) -> bool:
    """Whether a job is late or will be. One whose alarm stands stays so until it can be finished SURE before it is due.

    Else the alarm would come and go with every scan that is a little sooner or later than expected.
    """
    alarmed = ("job late", job.code) in floor.alarms
    return max(now, expected or now) > job.due - (SURE if alarmed else NO_TIME)
