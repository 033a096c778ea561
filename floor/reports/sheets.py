"""The week's report as sheets of rows, from which the workbook and the CSV files are written.

Never computes a figure: all of them stand in the report. What a bookkeeper may want to recompute says how.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from floor.cycle import Figures
from floor.reports.data import JobWeek, WeekReport
from shared.money import ELEMENTS

Kind = Literal["text", "count", "money", "millilitres", "seconds", "share", "rate", "moment"]
Cell = str | int | float | Decimal | datetime | None
"""None is an empty cell: there is no figure."""


class Field(Struct, frozen=True):
    """A column of a sheet."""

    name: str
    kind: Kind = "text"
    formula: str = ""
    """How the cell follows from others: {quoted} is the cell of that column in this row, {elements.quoted} a whole
    column of another sheet."""
    summed: bool = False
    """Whether the rows add up to something."""


class Sheet(Struct, frozen=True):
    """One subject: its columns, and a row of cells for each thing that it lists."""

    name: str
    fields: Sequence[Field]
    rows: Sequence[Sequence[Cell]]


def sheets(report: WeekReport) -> list[Sheet]:
    """Every subject of the report, the week itself first."""
    return [
        _week(report),
        _jobs(report),
        _elements(report),
        _spoiled(report),
        _times(report),
        _ink(report),
    ]


def _week(report: WeekReport) -> Sheet:
    """What the other sheets do not list: the headlines and the figures of the whole week, one a row."""
    rows: list[Sequence[Cell]] = [
        ("week", report.week),
        ("revision", str(report.revision)),
        ("currency", report.currency),
        *(("says" if not n else "next", headline.say) for n, headline in enumerate(report.headlines)),
        ("late jobs", ", ".join(report.late_jobs)),
    ]
    return Sheet("week", (Field("what"), Field("is")), rows)


JOB_FIELDS = (
    Field("job"),
    Field("customer"),
    Field("finished", "count", summed=True),
    Field("spoiled", "count", summed=True),
    Field("quoted", "money", "SUMIFS({elements.quoted},{elements.job},{job})", summed=True),
    Field("actual", "money", "SUMIFS({elements.actual},{elements.job},{job})", summed=True),
    Field("variance", "money", "{actual}-{quoted}", summed=True),
    Field("abnormal_spoilage", "money", summed=True),
    Field("given_up_cost", "money", summed=True),
    Field("price", "money", summed=True),
    Field("margin_quoted", "money", "{price}-{quoted}", summed=True),
    Field("margin_made", "money", "{price}-{actual}-{abnormal_spoilage}-{given_up_cost}", summed=True),
)


def _jobs(report: WeekReport) -> Sheet:
    return Sheet("jobs", JOB_FIELDS, [_job(job) for job in report.jobs])


def _job(job: JobWeek) -> Sequence[Cell]:
    return (
        job.job,
        job.customer,
        job.finished,
        job.spoiled,
        Decimal(job.quoted["total"]),
        Decimal(job.actual["total"]),
        job.variance_total,
        job.abnormal_spoilage,
        job.given_up_cost,
        job.price,
        job.margin_quoted,
        job.margin_made,
    )


ELEMENT_FIELDS = (
    Field("job"),
    Field("element"),
    Field("quoted", "money", summed=True),
    Field("actual", "money", summed=True),
    Field("price_variance", "money", summed=True),
    Field("quantity_variance", "money", "{actual}-{quoted}-{price_variance}", summed=True),
)


def _elements(report: WeekReport) -> Sheet:
    return Sheet("elements", ELEMENT_FIELDS, [row for job in report.jobs for row in _elements_of(job)])


def _elements_of(job: JobWeek) -> Iterator[Sequence[Cell]]:
    for element in ELEMENTS:
        why = job.variance[element]
        money = Decimal(job.quoted[element]), Decimal(job.actual[element]), why.price, why.quantity
        yield job.job, element.replace("_", " "), *money


def _spoiled(report: WeekReport) -> Sheet:
    fields = Field("reason"), Field("pieces", "count", summed=True), Field("cost", "money", summed=True)
    return Sheet("spoiled", fields, [(each.reason, each.pieces, each.cost) for each in report.spoiled_by_reason])


TIME_FIELDS = (
    Field("time"),
    Field("step"),
    *(Field("n", "count"), Field("median", "seconds"), Field("p90", "seconds"), Field("mean", "seconds")),
    *(Field("derived", "count"), Field("assumed", "count")),
)


def _times(report: WeekReport) -> Sheet:
    rows = [
        _time("cycle, elapsed", "", report.cycle_time_s),
        _time("cycle, working", "", report.cycle_time_working_s),
        *(_time("queuing", step, week.queuing_s) for step, week in report.steps.items()),
        *(_time("processing", step, week.processing_s) for step, week in report.steps.items()),
    ]
    return Sheet("times", TIME_FIELDS, rows)


def _time(what: str, step: str, times: Figures) -> Sequence[Cell]:
    return what, step, times.n, times.median, times.p90, times.mean, times.derived, times.assumed


def _ink(report: WeekReport) -> Sheet:
    ml = [Field(f"{what}_ml", "millilitres") for what in ("drawn", "printed")]
    lost = Field("lost_ml", "millilitres", "{drawn_ml}-{printed_ml}")
    rows = [(ink, week.drawn_ml, week.printed_ml, week.lost_ml) for ink, week in report.ink.items()]
    return Sheet("ink", (Field("ink"), *ml, lost), rows)
