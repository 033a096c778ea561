"""The chapters on money: from the margin quoted to the margin made, cost by element, quoted against actual by job.

Never computes a cost: all of them stand in the report.
"""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import pairwise

from floor.reports.chapters.draft import Draft, signed
from floor.reports.charts.bars import axis, bar, change, no_picture, quoted_and_actual, whole
from floor.reports.charts.paint import ADVERSE, FAVOURABLE, PLANNED, SPENT
from floor.reports.charts.rows import Cell, Column, Named, figures
from floor.reports.charts.scale import Scale, near_scale_of, scale_of
from floor.reports.data import JobWeek
from floor.reports.headline import ELEMENT_WORDS
from shared.money import ELEMENTS, Element
from tickets.blocks import Block, together
from tickets.box import MM

WORD = 66 * MM
BY_JOB = "Quoted against actual, by job"
SIGNS = "▲ + adverse: it cost more than quoted.   ▼ - favourable: it cost less."


def bridge(draft: Draft) -> list[Block]:
    """How each element took from the margin that was quoted, or added to it."""
    if not draft.report.jobs:
        return []
    total = draft.report.total
    steps = list(_steps(total))
    levels = _levels(total.margin_quoted, [amount for _, amount in steps])
    scale = near_scale_of(levels)
    near = f" The axis begins at {whole(scale.low)}, not at zero." if scale.low > 0 else ""
    intro = [
        draft.words(f"All jobs. Each bar starts where the one above it ended.{near}"),
        draft.key((PLANNED, "quoted"), (SPENT, "made"), (ADVERSE, "cost more"), (FAVOURABLE, "cost less")),
    ]
    return draft.chapter("From margin quoted to margin made", intro, [together(_bridge(draft, scale, steps, levels))])


def _bridge(draft: Draft, scale: Scale, steps: Sequence[tuple[str, Decimal]], levels: Sequence[Decimal]) -> list[Block]:
    columns = [Column(width=WORD), Column(axis(scale, whole)), figures(draft.report.currency, 22)]
    contents: list[Sequence[Cell]] = [
        (Named("Margin quoted"), bar(scale, levels[0], PLANNED), draft.figure(levels[0])),
        *(
            (word, change(scale, before, after), draft.figure(amount))
            for (word, amount), (before, after) in zip(steps, pairwise(levels), strict=True)
        ),
    ]
    made: Sequence[Cell] = Named("Margin made"), bar(scale, levels[-1]), draft.figure(levels[-1])
    return draft.table(columns, contents, total=made)


def _steps(total: JobWeek) -> Iterator[tuple[str, Decimal]]:
    """What changed the margin, and by how much: what cost more than quoted makes it smaller."""
    for element in ELEMENTS:
        amount = total.variance[element].price + total.variance[element].quantity
        if amount:
            yield f"{ELEMENT_WORDS[element]}: {'more' if amount > 0 else 'less'} than quoted", -amount
    if total.abnormal_spoilage:
        yield "spoilage beyond the allowance", -total.abnormal_spoilage
    if total.given_up_cost:
        yield "pieces that were given up", -total.given_up_cost
    if total.given_up_cost:
        yield "pieces that were given up", -total.given_up_cost


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
    columns = [
        Column("element"),
        *(figures(heading, 24) for heading in ("quoted", "actual", "by price", "by quantity", "variance")),
    ]
    contents = [(ELEMENT_WORDS[element], *_element(draft, element)) for element in ELEMENTS]
    about = f"All jobs, {report.currency}. Quoted is what the good pieces were quoted at."
    table = draft.table(columns, contents, total=("total", *_sums(draft, report.total)))
    return draft.chapter("Cost by element", [draft.words(about), draft.words(SIGNS)], [together(table)])


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
    columns = [Column("cause", WORD), Column(axis(scale, whole)), figures("variance", 24)]
    contents: list[Sequence[Cell]] = [
        (cause, change(scale, amount, 0), signed(amount, draft.figure(amount)))
        for cause, amount in total.causes.items()
    ]
    last = "all", no_picture, signed(total.variance_total, draft.figure(total.variance_total))
    intro = [draft.words(f"All jobs, {draft.report.currency}, the largest first."), draft.words(SIGNS)]
    return draft.chapter("What made the difference", intro, draft.table(columns, contents, total=last))


def jobs(draft: Draft) -> list[Block]:
    """Each job, quoted against actual."""
    report = draft.report
    if not report.jobs:
        return draft.chapter(BY_JOB, [], [draft.words("Nothing was finished or spoiled.")])
    scale = scale_of(Decimal(cost["total"]) for job in report.jobs for cost in (job.quoted, job.actual))
    columns = [
        Column("job"),
        Column(axis(scale, whole), 34 * MM),
        *(figures(heading) for heading in ("quoted", "actual", "variance", "margin\nquoted", "margin\nmade")),
    ]
    contents = [_job(draft, scale, job) for job in report.jobs]
    total: Sequence[Cell] = Named("all", _notes(draft, report.total)), no_picture, *_job_figures(draft, report.total)
    intro = [
        draft.words(
            f"{report.currency}. The upper bar is the quote for the good pieces, the lower one what they cost."
        ),
        draft.words(SIGNS),
        draft.key((PLANNED, "quoted"), (SPENT, "actual"), (ADVERSE, "beyond the quote"), (FAVOURABLE, "saved")),
    ]
    return draft.chapter(BY_JOB, intro, draft.table(columns, contents, total=total))


def _job(draft: Draft, scale: Scale, job: JobWeek) -> Sequence[Cell]:
    picture = quoted_and_actual(scale, Decimal(job.quoted["total"]), Decimal(job.actual["total"]))
    return Named(job.job, [job.customer, *_notes(draft, job)]), picture, *_job_figures(draft, job)


def _notes(draft: Draft, job: JobWeek) -> list[str]:
    notes = [f"{job.finished:,} good, {job.spoiled:,} spoiled", f"price {draft.figure(job.price)}"]
    if job.abnormal_spoilage:
        notes.append(f"beyond the allowance {draft.figure(job.abnormal_spoilage)}")
    if job.given_up:
        notes.append(f"{job.given_up:,} given up, cost {draft.figure(job.given_up_cost)}")
    return notes


def _job_figures(draft: Draft, job: JobWeek) -> list[str]:
    return [
        draft.figure(job.quoted["total"]),
        draft.figure(job.actual["total"]),
        signed(job.variance_total, draft.figure(job.variance_total)),
        draft.figure(job.margin_quoted),
        draft.figure(job.margin_made),
    ]
