"""The week's report as `--json` answers it.

Never computes.
"""

from typing import Any

import msgspec

from floor.reports.data import JobWeek, WeekReport


def report_answer(report: WeekReport) -> dict[str, Any]:
    """Plain data: money and millilitres as strings, moments RFC 3339 in UTC, durations in seconds."""
    answer = {
        **{name: getattr(report, name) for name in report.__struct_fields__},
        "jobs": [_job(job) for job in report.jobs],
        "total": _job(report.total),
        "spoiled_by_reason": {
            each.reason: {"pieces": each.pieces, "cost": each.cost} for each in report.spoiled_by_reason
        },
        "says": report.says,
    }
    return dict(msgspec.to_builtins(answer))


def _job(job: JobWeek) -> dict[str, Any]:
    fields = {name: getattr(job, name) for name in job.__struct_fields__ if name != "variance_total"}
    return {**fields, "variance": {**job.variance, "total": job.variance_total}}
