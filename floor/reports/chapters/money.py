"""The chapters on money: from the margin quoted to the margin made, cost by element, quoted against actual by job.

Never computes a cost: all of them stand in the report.
"""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import pairwise

from floor.core.figures.data import JobWeek
from floor.core.figures.headline import ELEMENT_WORDS
from floor.core.figures.job_columns import BY_NAME, JobColumn
from floor.reports.chapters.draft import Draft, signed
from floor.reports.charts.bars import axis, bar, change, no_picture, quoted_and_actual
from floor.reports.charts.paint import ADVERSE, FAVOURABLE, PLANNED, SPENT
from floor.reports.charts.rows import Cell, Column, Named, figures
from floor.reports.charts.scale import Scale, scale_of
from shared.money import ELEMENTS, Element
from tickets.kit.blocks import Block, together
from tickets.kit.box import MM

WORD = 66 * MM
FIGURES = [BY_NAME[name] for name in ("quoted", "actual", "variance", "margin_quoted", "margin_made")]
"""What stands in columns of its own beside a job's picture; the others stand beneath its name."""


def bridge(draft: Draft) -> list[Block]:
    """How each element took from the margin that was quoted, or added to it."""
    if not draft.report.jobs:
        return []
    total = draft.report.total
    steps = list(_steps(draft, total))
    levels = _levels(total.margin_quoted, [amount for _, amount in steps])
    scale = scale_of(levels)
    about = draft.say("All jobs. Each bar starts where the one above it ended.")
    changes = (ADVERSE, draft.say("cost more")), (FAVOURABLE, draft.say("cost less"))
    key = draft.key((PLANNED, draft.say("quoted")), (SPENT, draft.say("made")), *changes)
    title, table = draft.say("From margin quoted to margin made"), _bridge(draft, scale, steps, levels)
    return draft.chapter(title, [draft.words(about), key], [together(table)])


def _bridge(draft: Draft, scale: Scale, steps: Sequence[tuple[str, Decimal]], levels: Sequence[Decimal]) -> list[Block]:
    columns = [Column(width=WORD), Column(axis(scale, draft.mark)), figures(draft.report.currency, 22)]
    contents: list[Sequence[Cell]] = [
        (Named(draft.say("Margin quoted")), bar(scale, levels[0], PLANNED), draft.figure(levels[0])),
        *(
            (word, change(scale, before, after), draft.figure(amount))
            for (word, amount), (before, after) in zip(steps, pairwise(levels), strict=True)
        ),
    ]
    made: Sequence[Cell] = Named(draft.say("Margin made")), bar(scale, levels[-1]), draft.figure(levels[-1])
    return draft.table(columns, contents, total=made)


def _steps(draft: Draft, total: JobWeek) -> Iterator[tuple[str, Decimal]]:
    """What changed the margin, and by how much: what cost more than quoted makes it smaller."""
    for element in ELEMENTS:
        amount = total.variance[element].price + total.variance[element].quantity
        if amount:
            word = draft.say(
                "{element}: more than quoted" if amount > 0 else "{element}: less than quoted",
                element=draft.say(ELEMENT_WORDS[element]),
            )
            yield word, -amount
    if total.abnormal_spoilage:
        yield draft.say("spoilage beyond the allowance"), -total.abnormal_spoilage
    if total.given_up_cost:
        yield draft.say("pieces that were given up"), -total.given_up_cost


def _levels(start: Decimal, changes: Sequence[Decimal]) -> list[Decimal]:
    levels = [start]
    for amount in changes:
        levels.append(levels[-1] + amount)
    return levels


def elements(draft: Draft) -> list[Block]:
    """Cost by element, and whether price or quantity made the difference."""
    report = draft.report
    if not report.jobs:
        return []
    parts = draft.say("by price"), draft.say("by quantity"), draft.say("variance")
    columns = [
        Column(draft.say("element")),
        *(figures(heading, 24) for heading in (draft.say("quoted"), draft.say("actual"), *parts)),
    ]
    contents = [(draft.say(ELEMENT_WORDS[element]), *_element(draft, element)) for element in ELEMENTS]
    about = draft.say("All jobs, {currency}. Quoted is what the good pieces were quoted at.", currency=report.currency)
    table = draft.table(columns, contents, total=(draft.say("total"), *_sums(draft, report.total)))
    return draft.chapter(draft.say("Cost by element"), [draft.words(about), _signs(draft)], [together(table)])


def _signs(draft: Draft) -> Block:
    return draft.words(draft.say("▲ + adverse: it cost more than quoted.   ▼ - favourable: it cost less."))


def _element(draft: Draft, element: Element) -> list[str]:
    total = draft.report.total
    why = total.variance[element]
    both = why.price + why.quantity
    return [
        draft.figure(total.quoted[element]),
        draft.figure(total.actual[element]),
        *(signed(each, draft.figure(each)) for each in (why.price, why.quantity, both)),
    ]


def _sums(draft: Draft, total: JobWeek) -> list[str]:
    price, quantity = (
        sum((getattr(each, part) for each in total.variance.values()), Decimal(0)) for part in ("price", "quantity")
    )
    return [
        draft.figure(total.quoted["total"]),
        draft.figure(total.actual["total"]),
        *(signed(each, draft.figure(each)) for each in (price, quantity, total.variance_total)),
    ]


def causes(draft: Draft) -> list[Block]:
    """What made the difference between quoted and actual; nothing where there is none."""
    total = draft.report.total
    if not total.causes:
        return []
    scale = scale_of(total.causes.values())
    columns = [Column(draft.say("cause"), WORD), Column(axis(scale, draft.mark)), figures(draft.say("variance"), 24)]
    contents: list[Sequence[Cell]] = [
        (_cause(draft, cause), change(scale, amount, 0), signed(amount, draft.figure(amount)))
        for cause, amount in total.causes.items()
    ]
    last = draft.say("all"), no_picture, signed(total.variance_total, draft.figure(total.variance_total))
    about = draft.say("All jobs, {currency}, the largest first.", currency=draft.report.currency)
    title, intro = draft.say("What made the difference"), [draft.words(about), _signs(draft)]
    return draft.chapter(title, intro, draft.table(columns, contents, total=last))


def _cause(draft: Draft, cause: str) -> str:
    """In the shop's language; a reason for which pieces are spoiled is the shop's own."""
    _, spoiled, reason = cause.partition("spoiled: ")
    return draft.say("spoiled: {reason}", reason=reason) if spoiled else draft.say(cause)


def jobs(draft: Draft) -> list[Block]:
    """Each job, quoted against actual."""
    report, title = draft.report, draft.say("Quoted against actual, by job")
    if not report.jobs:
        return draft.chapter(title, [], [draft.words(draft.say("Nothing was finished or spoiled."))])
    scale = scale_of(cost["total"] for job in report.jobs for cost in (job.quoted, job.actual))
    quoted, actual = draft.say("quoted"), draft.say("actual")
    columns = [
        Column(draft.say("job")),
        Column(axis(scale, draft.mark), 34 * MM),
        *(figures(draft.say(column.heading)) for column in FIGURES),
    ]
    contents = [_job(draft, scale, job) for job in report.jobs]
    all_jobs = Named(draft.say("all"), _notes(draft, report.total))
    total: Sequence[Cell] = all_jobs, no_picture, *_job_figures(draft, report.total)
    about = draft.say(
        "{currency}. The upper bar is the quote for the good pieces, the lower one what they cost.",
        currency=report.currency,
    )
    beyond = (ADVERSE, draft.say("beyond the quote")), (FAVOURABLE, draft.say("saved"))
    intro = [draft.words(about), _signs(draft), draft.key((PLANNED, quoted), (SPENT, actual), *beyond)]
    return draft.chapter(title, intro, draft.table(columns, contents, total=total))


def _job(draft: Draft, scale: Scale, job: JobWeek) -> Sequence[Cell]:
    picture = quoted_and_actual(scale, job.quoted["total"], job.actual["total"])
    return Named(job.job, [job.customer, *_notes(draft, job)]), picture, *_job_figures(draft, job)


def _notes(draft: Draft, job: JobWeek) -> list[str]:
    good, spoiled = draft.count(job.finished), draft.count(job.spoiled)
    notes = [
        draft.say("{good} good, {spoiled} spoiled", good=good, spoiled=spoiled),
        draft.say("price {amount}", amount=draft.figure(job.price)),
    ]
    if job.abnormal_spoilage:
        notes.append(draft.say("beyond the allowance {amount}", amount=draft.figure(job.abnormal_spoilage)))
    if job.given_up:
        count, cost = draft.count(job.given_up), draft.figure(job.given_up_cost)
        notes.append(draft.say("{count} given up, cost {amount}", count=count, amount=cost))
    return notes


def _job_figures(draft: Draft, job: JobWeek) -> list[str]:
    return [_job_figure(draft, column, job) for column in FIGURES]


def _job_figure(draft: Draft, column: JobColumn, job: JobWeek) -> str:
    amount = Decimal(str(column.value(job)))
    return signed(amount, draft.figure(amount)) if column.signed else draft.figure(amount)
