"""The week's report as `--json` answers it.

Never computes.
"""

from typing import Any

import msgspec
from msgspec.structs import asdict

from floor.core.figures.data import JobWeek, WeekReport
from floor.core.figures.explain import Explanation


def report_answer(report: WeekReport) -> dict[str, Any]:
    """Plain data: money and millilitres as strings, moments RFC 3339 in UTC, durations in seconds."""
    answer = {
        **asdict(report),
        "jobs": [_job(job) for job in report.jobs],
        "total": _job(report.total),
        "spoiled_by_reason": {
            each.reason: {"pieces": each.pieces, "cost": each.cost} for each in report.spoiled_by_reason
        },
        "says": report.says,
    }
    if not report.anchor:
        del answer["anchor"]
    return dict(msgspec.to_builtins(answer))


def _job(job: JobWeek) -> dict[str, Any]:
    fields = asdict(job)
    total = fields.pop("variance_total")
    return {**fields, "variance": {**job.variance, "total": total}}


def explanation_answer(found: Explanation) -> dict[str, Any]:
    """The rows behind a figure as plain data; their differences add up to that of the figure."""
    rows = [{**asdict(reason), "difference": reason.difference} for reason in found.reasons]
    return dict(msgspec.to_builtins({**asdict(found), "difference": found.difference, "reasons": rows}))
