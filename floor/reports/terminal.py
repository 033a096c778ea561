"""The week's report as text, for a terminal or a pipe.

Never computes a figure: all of them stand in the report.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal

from rich.console import Group, RenderableType
from rich.style import Style
from rich.table import Table
from rich.text import Text

from floor.core.figures.data import InkWeek, JobWeek, LateJob, OverTime, StepWeek, WeekReport
from floor.core.figures.job_columns import JOB_COLUMNS, JobColumn
from floor.core.times.cycle import Figures
from floor.words.columns import BOLD, TextColumn, figures, table, words
from shared import wording
from shared.files.shop import Shop
from shared.harmless import harmless
from shared.money import ELEMENTS

WIDTH = 80
ADVERSE = Style(bold=True, color="red")
FAVOURABLE = Style(color="cyan")
LEGEND = "▲ adverse: it cost more than quoted.  ▼ favourable: it cost less."
ON_DERIVED = (
    "derived: the start was not scanned and follows from the reads before it. "
    "assumed: the step was not scanned at all; it is left out of the times."
)
ON_HANDS = (
    "In no piece: setup, waiting, cleaning, whatever nobody scanned. It is in no job's cost. "
    "Who did not sign out is paid until the last read."
)
NOT_READ = "not read"
OVER_TIME_MAX = 5
"""So many pieces that stayed in a press for too long are named; a sheet and `--json` name them all."""


def report_text(report: WeekReport, shop: Shop, width: int = WIDTH) -> RenderableType:
    """The whole report. Its first line is the one thing that matters most."""
    return Group(
        *_headlines(report),
        _titled(_period(report, shop), _facts(report)),
        _titled(f"Cost by job, {report.currency}: quoted for the good pieces, and actual", _jobs(report, width)),
        _titled(f"Cost by element, all jobs, {report.currency}", _elements(report, width), *_notes(report)),
        _titled(f"Why it cost more or less than quoted, all jobs, {report.currency}", _causes(report, width)),
        _titled(f"Spoiled, by reason, {report.currency}", _reasons(report, width)),
        _titled("Cycle time of the finished pieces, first start to last end", _cycle(report, width)),
        _titled("Queuing time by step, elapsed since the step before", _steps(report.steps, width, _queuing)),
        _titled("Processing time by step, elapsed", _steps(report.steps, width, _processing)),
        Text(ON_DERIVED),
        _titled(f"Paid hours, from first read to sign-out, {report.currency}", *_hands(report, shop, width)),
        _titled("Ink, ml", _ink(report.ink, width)),
    )


def _titled(title: str, *body: RenderableType) -> Group:
    return Group(Text(), Text(harmless(title), BOLD), *body)


def _headlines(report: WeekReport) -> list[Text]:
    first, *others = (harmless(headline.say) for headline in report.headlines)
    return [Text(first, BOLD), *(Text(f"· {say}") for say in others)]


def _period(report: WeekReport, shop: Shop) -> str:
    zone = shop.hours.zone
    _, end = shop.hours.week_bounds(report.week)
    running = "" if report.until >= end else f", up to {wording.day_and_time(report.until, zone)}"
    return f"{shop.name}, week {report.week} from {wording.day(report.start, zone)}{running}"


def _facts(report: WeekReport) -> RenderableType:
    facts = Table.grid(padding=(0, 2, 0, 0))
    good = f"{wording.percent(report.first_pass_yield)} good at their first inspection"
    rate = f"{wording.quantity(report.throughput_per_hour)} pieces finished in a working hour"
    facts.add_row("pieces", f"{report.finished} finished, {report.spoiled} spoiled, {report.open} open")
    facts.add_row("first-pass yield", "nothing was inspected" if report.first_pass_yield is None else good)
    facts.add_row("throughput", "no working time yet" if report.throughput_per_hour is None else rate)
    facts.add_row("late jobs", Text(", ".join(map(_late, report.late)) or "none"))
    if report.over_time:
        facts.add_row("too long in a press", Text(_over_times(report.over_time)))
    return facts


def _over_times(stays: Sequence[OverTime]) -> str:
    told = "; ".join(map(_over_time, stays[:OVER_TIME_MAX]))
    more = len(stays) - OVER_TIME_MAX
    return f"{told}; +{more} more" if more > 0 else told


def _over_time(stay: OverTime) -> str:
    held, least = wording.duration(stay.held_s), wording.duration(stay.least_s)
    return harmless(f"{stay.piece} of {stay.job}, {held} instead of {least} at {stay.press}")


def _late(late: LateJob) -> str:
    return harmless(f"{late.job} {'' if late.finished else 'still open, '}{wording.duration(late.late_s)} late")


def _jobs(report: WeekReport, width: int) -> RenderableType:
    if not report.jobs:
        return Text("Nothing was finished or spoiled.")
    rows = [*report.jobs, report.total]
    key = words("job", [*(f"{job.job} {job.customer}" for job in report.jobs), "all"])
    columns = [_job_column(column, rows, report.currency) for column in JOB_COLUMNS if column.kind != "text"]
    return table(key, columns, width, total=True)


def _job_column(column: JobColumn, rows: Sequence[JobWeek], currency: str) -> TextColumn:
    if column.signed:
        return variances(column.heading, [Decimal(str(column.value(job))) for job in rows], currency, in_words=True)
    money = _money_of(currency)
    cells = (column.value(job) for job in rows)
    return figures(column.heading, (money(str(cell)) if column.kind == "money" else str(cell) for cell in cells))


def _elements(report: WeekReport, width: int) -> RenderableType:
    total = report.total
    money = _money_of(report.currency)
    price = [total.variance[element].price for element in ELEMENTS]
    quantity = [total.variance[element].quantity for element in ELEMENTS]
    both = [one + other for one, other in zip(price, quantity, strict=True)]
    keys = [*ELEMENTS, "total"]
    columns = [
        figures("quoted", (money(total.quoted[key]) for key in keys)),
        figures("actual", (money(total.actual[key]) for key in keys)),
        variances("by price", _with_sum(price), report.currency),
        variances("by quantity", _with_sum(quantity), report.currency),
        variances("variance", [*both, total.variance_total], report.currency, in_words=True),
    ]
    return table(words("element", map(wording.spaced, keys)), columns, width, total=True)


def _with_sum(amounts: Sequence[Decimal]) -> list[Decimal]:
    return [*amounts, sum(amounts, Decimal(0))]


def _notes(report: WeekReport) -> list[Text]:
    beyond = report.total.abnormal_spoilage
    given_up = report.total.given_up_cost
    notes = [Text(LEGEND)]
    if beyond:
        amount = wording.money(beyond, report.currency)
        notes.append(Text(f"Spoilage beyond the quoted allowance, {amount}, comes on top; the margin made bears it."))
    if given_up:
        amount = wording.money(given_up, report.currency)
        notes.append(Text(f"Pieces that were given up had cost {amount}; the margin made bears it."))
    return notes


def variances(heading: str, amounts: Sequence[Decimal], currency: str, *, in_words: bool = False) -> TextColumn:
    """A column of variances: each with its sign and its shape."""
    return TextColumn(heading=heading, cells=[_variance(amount, currency, in_words=in_words) for amount in amounts])


def _variance(amount: Decimal, currency: str, *, in_words: bool) -> Text:
    """A variance with its sign, its shape and, where it stands for a whole row, its word."""
    figure = wording.figure(amount, currency)
    if not amount:
        return Text(figure)
    shape, word, style, sign = ("▲", "adverse", ADVERSE, "+") if amount > 0 else ("▼", "favourable", FAVOURABLE, "")
    return Text(" ".join([shape, *([word] if in_words else []), sign + figure]), style)


def _money_of(currency: str) -> Callable[[Decimal | str], str]:
    return lambda amount: wording.figure(amount, currency)


def _reasons(report: WeekReport, width: int) -> RenderableType:
    reasons = report.spoiled_by_reason
    if not reasons:
        return Text("Nothing was spoiled.")
    money = _money_of(report.currency)
    columns = [
        figures("pieces", (each.pieces for each in reasons)),
        figures("cost of all that\nwent into them", (money(each.cost) for each in reasons)),
    ]
    return table(words("reason", (each.reason for each in reasons)), columns, width)


def _causes(report: WeekReport, width: int) -> RenderableType:
    causes = report.total.causes
    if not causes:
        return Text("Everything cost what was quoted.")
    return table(words("cause", causes), [variances("difference", [*causes.values()], report.currency)], width)


def _hands(report: WeekReport, shop: Shop, width: int) -> Iterator[RenderableType]:
    hands, money = report.hands, _money_of(report.currency)
    if not hands:
        yield Text("Nobody worked.")
        return
    columns = [
        figures("paid", (wording.working_time(each.paid_s) for each in hands)),
        figures("in pieces", (wording.working_time(each.absorbed_s) for each in hands)),
        figures("in no piece", (wording.working_time(each.unattributed_s) for each in hands)),
        figures(f"paid,\n{report.currency}", (money(each.paid) for each in hands)),
        figures("\nin pieces", (money(each.absorbed) for each in hands)),
        figures("\nin no piece", (money(each.unattributed) for each in hands)),
        figures("shifts not\nsigned out", (each.not_signed_out if each.badge else wording.NO_FIGURE for each in hands)),
    ]
    yield table(words("badge", (each.badge or "nobody signed in" for each in hands)), columns, width)
    yield Text(f"{ON_HANDS}{_rest(report, shop)}")


def _rest(report: WeekReport, shop: Shop) -> str:
    """How the hours in no piece compare with what quotes allow for them; nothing where they allow nothing."""
    absorbed_s = sum(each.absorbed_s for each in report.hands)
    if not shop.file.allowance.share or not absorbed_s:
        return ""
    share = sum(each.unattributed_s for each in report.hands) / absorbed_s
    allowed = wording.percent(float(shop.file.allowance.share))
    return f" It was {wording.percent(share)} of what was in pieces; quotes allow {allowed} for rest."


def _cycle(report: WeekReport, width: int) -> RenderableType:
    rows = [report.cycle_time_s, report.cycle_time_working_s]
    return table(words("time", ["elapsed", "working"]), _time_columns(rows), width)


def _steps(steps: Mapping[str, StepWeek], width: int, which: Callable[[StepWeek], Figures]) -> RenderableType:
    if not steps:
        return Text("No step was done.")
    return table(words("step", steps), _time_columns([which(step) for step in steps.values()]), width)


def _queuing(step: StepWeek) -> Figures:
    return step.queuing_s


def _processing(step: StepWeek) -> Figures:
    return step.processing_s


def _time_columns(rows: Sequence[Figures]) -> list[TextColumn]:
    return [
        figures("n", (row.n for row in rows)),
        figures("median", (wording.duration(row.median) for row in rows)),
        figures("p90", (wording.duration(row.p90) for row in rows)),
        figures("mean", (wording.duration(row.mean) for row in rows)),
        figures("derived", (row.derived for row in rows)),
        figures("assumed", (row.assumed for row in rows)),
    ]


def _ink(inks: Mapping[str, InkWeek], width: int) -> RenderableType:
    columns = [
        figures("drawn from\nthe tanks", (_ml(ink.drawn_ml) for ink in inks.values())),
        figures("printed", (_ml(ink.printed_ml) for ink in inks.values())),
        figures("lost to\nmaintenance", (_ml(ink.lost_ml) for ink in inks.values())),
        figures("prints", (ink.prints for ink in inks.values())),
        figures("of them\nread", (ink.read for ink in inks.values())),
    ]
    return table(words("ink", inks), columns, width)


def _ml(amount: Decimal | None) -> str:
    return NOT_READ if amount is None else wording.quantity(amount)
