"""The week's report as sheets of rows, from which the workbook and the CSV files are written.

Never computes a figure: all of them stand in the report. What a bookkeeper may want to recompute says how.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from floor.core.figures.data import JobWeek, WeekReport
from floor.core.figures.job_columns import JOB_COLUMNS, Cell, ColumnKind
from floor.core.times.cycle import Figures
from shared.money import ELEMENTS
from shared.wording import spaced


class Field(Struct, frozen=True):
    """A column of a sheet."""

    name: str
    kind: ColumnKind = "text"
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
        _causes(report),
        _spoiled(report),
        _late(report),
        _times(report),
        _wet(report),
        _over_time(report),
        _hands(report),
        _machines(report),
        _machine_hours(report),
        _ink(report),
    ]


def _week(report: WeekReport) -> Sheet:
    """What the other sheets do not list: the headlines, and the figures of the whole week."""
    rows: list[Sequence[Cell]] = [
        ("week", report.week, None),
        ("revision", str(report.revision), None),
        ("currency", report.currency, None),
        *([("ledger", report.anchor, None)] if report.anchor else []),
        *(
            ("says" if not n else "next", headline.say, headline.at_stake)
            for n, headline in enumerate(report.headlines)
        ),
        ("finished", None, report.finished),
        ("spoiled", None, report.spoiled),
        ("open", None, report.open),
        ("first pass yield", None, report.first_pass_yield),
        ("quality ratio", None, report.quality_ratio),
        ("scrap ratio", None, report.scrap_ratio),
        ("rework ratio", None, report.rework_ratio),
        ("finished in a working hour", None, report.throughput_per_hour),
    ]
    return Sheet("week", (Field("what"), Field("is"), Field("figure", "rate")), rows)


def _jobs(report: WeekReport) -> Sheet:
    fields = [Field(column.name, column.kind, column.formula, column.summed) for column in JOB_COLUMNS]
    return Sheet("jobs", fields, [[column.value(job) for column in JOB_COLUMNS] for job in report.jobs])


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
        money = job.quoted[element], job.actual[element], why.price, why.quantity
        yield job.job, spaced(element), *money


def _causes(report: WeekReport) -> Sheet:
    fields = Field("job"), Field("cause"), Field("variance", "money", summed=True)
    return Sheet("causes", fields, [(job.job, *cause) for job in report.jobs for cause in job.causes.items()])


def _spoiled(report: WeekReport) -> Sheet:
    fields = Field("reason"), Field("pieces", "count", summed=True), Field("cost", "money", summed=True)
    return Sheet("spoiled", fields, [(each.reason, each.pieces, each.cost) for each in report.spoiled_by_reason])


def _late(report: WeekReport) -> Sheet:
    fields = (
        Field("job"),
        Field("customer"),
        Field("due", "moment"),
        Field("finished", "moment"),
        Field("late", "seconds"),
    )
    return Sheet("late", fields, [(job.job, job.customer, job.due, job.finished, job.late_s) for job in report.late])


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


def _wet(report: WeekReport) -> Sheet:
    seconds = [Field(name, "seconds") for name in ("limit", "median", "p90")]
    rows = [(wet.limit_s, wet.wet_s.median, wet.wet_s.p90, wet.wet_s.n, wet.over) for wet in report.wet]
    return Sheet("wet", (*seconds, Field("pieces", "count"), Field("over_limit", "count")), rows)


def _over_time(report: WeekReport) -> Sheet:
    texts = [Field(name) for name in ("piece", "job", "step", "press")]
    fields = *texts, Field("opened", "moment"), Field("held", "seconds"), Field("at_least", "seconds")
    rows = [
        (*(each.piece, each.job, each.step, each.press), *(each.opened, each.held_s, each.least_s))
        for each in report.over_time
    ]
    return Sheet("over_time", fields, rows)


HAND_FIELDS = (
    Field("badge"),
    Field("paid", "seconds", summed=True),
    Field("in_pieces", "seconds", summed=True),
    Field("in_no_piece", "seconds", "{paid}-{in_pieces}", summed=True),
    Field("cost_paid", "money", summed=True),
    Field("cost_in_pieces", "money", summed=True),
    Field("cost_in_no_piece", "money", "{cost_paid}-{cost_in_pieces}", summed=True),
    Field("shifts_not_signed_out", "count", summed=True),
)


def _hands(report: WeekReport) -> Sheet:
    rows = [
        (
            *(hands.badge or "nobody signed in", hands.paid_s, hands.absorbed_s, hands.unattributed_s),
            *(hands.paid, hands.absorbed, hands.unattributed, hands.not_signed_out),
        )
        for hands in report.hands
    ]
    return Sheet("hands", HAND_FIELDS, rows)


MACHINE_FIELDS = (
    Field("station"),
    Field("busy", "seconds", "{producing}+{delayed}"),
    Field("producing", "seconds"),
    Field("delayed", "seconds"),
    Field("busy_while_open", "seconds"),
    Field("planned_while_open", "seconds"),
    Field("down_while_open", "seconds"),
    Field("allocation_efficiency", "rate"),
    Field("utilization_efficiency", "rate"),
    *(Field("steps", "count"), Field("derived", "count"), Field("assumed", "count")),
)


def _machines(report: WeekReport) -> Sheet:
    rows = [
        (
            *(each.station, each.busy_s, each.producing_s, each.delayed_s),
            *(each.busy_open_s, each.planned_open_s, each.down_open_s),
            *(each.allocation_efficiency, each.utilization_efficiency),
            *(each.steps, each.derived, each.assumed),
        )
        for each in report.machines
    ]
    return Sheet("machines", MACHINE_FIELDS, rows)


def _machine_hours(report: WeekReport) -> Sheet:
    """Every hour in which the shop was open or the machine busy."""
    seconds = Field("open", "seconds", summed=True), Field("busy", "seconds", summed=True)
    rows = [
        (machine.station, hour.starts, hour.open_s, hour.busy_s)
        for machine in report.machines
        for hour in machine.hours
        if hour.open_s or hour.busy_s
    ]
    return Sheet("machine_hours", (Field("station"), Field("from", "moment"), *seconds), rows)


def _ink(report: WeekReport) -> Sheet:
    ml = [Field(f"{what}_ml", "millilitres") for what in ("drawn", "printed")]
    lost = Field("lost_ml", "millilitres", "{drawn_ml}-{printed_ml}")
    counts = Field("prints", "count"), Field("read", "count")
    rows = [
        (ink, each.drawn_ml, each.printed_ml, each.lost_ml, each.prints, each.read) for ink, each in report.ink.items()
    ]
    return Sheet("ink", (Field("ink"), *ml, lost, *counts), rows)
