"""What matters most in a week, chosen by the money at stake, in plain words.

Never says what the figures do not: each line names its figure, its job and its cause.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal

from floor.cost.variance import Variance
from floor.reports.data import Headline, JobWeek, SpoiledFor

HEADLINES_MAX = 4
"""The first, and the three next."""

ELEMENT_WORDS = {
    "garment": "garments",
    "pretreat": "pretreat",
    "white_ink": "white ink",
    "colour_ink": "colour ink",
    "labour": "labour",
    "machine": "machine time",
    "consumables": "consumables",
    "spoilage": "spoilage within the allowance",
    "overhead": "overhead",
}


Reasons = Mapping[str, Sequence[SpoiledFor]]
"""By job: why its pieces were spoiled, the costliest reason first."""


def headlines(jobs: Sequence[JobWeek], reasons: Reasons, currency: str) -> list[Headline]:
    """The largest sums first; always at least one line."""
    by_job = (_given_up, _losses, _variances)
    found = [*_spoiled(jobs, reasons, currency), *(each for tell in by_job for each in tell(jobs, currency))]
    ranked = sorted(found, key=lambda each: -each.at_stake)[:HEADLINES_MAX]
    return ranked or [_nothing(jobs)]


def _nothing(jobs: Sequence[JobWeek]) -> Headline:
    say = "Every job cost what was quoted." if jobs else "Nothing was finished or spoiled this week."
    return Headline(at_stake=Decimal(0), say=say)


def _spoiled(jobs: Iterable[JobWeek], reasons: Reasons, currency: str) -> Iterator[Headline]:
    for job in jobs:
        if job.abnormal_spoilage > 0:
            first, *others = reasons[job.job]
            pieces = "1 spoiled piece" if job.spoiled == 1 else f"{job.spoiled} spoiled pieces"
            why = f"mostly {first.reason}" if others else first.reason
            say = f"{job.job} lost {job.abnormal_spoilage} {currency} beyond the allowance to {pieces}: {why}."
            yield Headline(at_stake=job.abnormal_spoilage, say=say)


def _given_up(jobs: Iterable[JobWeek], currency: str) -> Iterator[Headline]:
    for job in jobs:
        if job.given_up_cost > 0:
            pieces = "1 piece that was" if job.given_up == 1 else f"{job.given_up} pieces that were"
            say = f"{job.job} lost {job.given_up_cost} {currency} in {pieces} given up."
            yield Headline(at_stake=job.given_up_cost, say=say)


def _losses(jobs: Iterable[JobWeek], currency: str) -> Iterator[Headline]:
    for job in jobs:
        if job.margin_made < 0 and job.finished:
            say = f"{job.job} lost money: {-job.margin_made} {currency} more was spent than it brings."
            yield Headline(at_stake=-job.margin_made, say=say)


def _variances(jobs: Iterable[JobWeek], currency: str) -> Iterator[Headline]:
    for job in jobs:
        for element, variance in job.variance.items():
            amount = variance.price + variance.quantity
            if amount:
                say = _variance_line(job.job, element, variance, currency)
                yield Headline(at_stake=abs(amount), say=say)


def _variance_line(job: str, element: str, variance: Variance, currency: str) -> str:
    amount = variance.price + variance.quantity
    more = "more" if amount > 0 else "less"
    by_price = abs(variance.price) > abs(variance.quantity)
    cause = "by price" if by_price else "by how much was used"
    if element in {"labour", "machine"}:
        cause = "by rate" if by_price else "by time taken"
    return f"{job}: {ELEMENT_WORDS[element]} cost {abs(amount)} {currency} {more} than quoted, mainly {cause}."
