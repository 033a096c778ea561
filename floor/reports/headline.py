"""What matters most in a week, chosen by the money at stake, in plain words of the shop's language.

Never says what the figures do not: each line names its figure, its job and its cause.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal

from floor.cost.variance import Variance
from floor.reports.data import Headline, JobWeek, SpoiledFor
from floor.wording import figure
from shared.words import ENGLISH, Words

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


HOURLY = {"labour", "machine", "overhead"}
"""Elements that follow hours."""

Reasons = Mapping[str, Sequence[SpoiledFor]]
"""By job: why its pieces were spoiled, the costliest reason first."""


def headlines(jobs: Sequence[JobWeek], reasons: Reasons, currency: str, words: Words = ENGLISH) -> list[Headline]:
    """The largest sums first; always at least one line."""
    by_job = (_given_up, _losses, _variances)
    found = [
        *_spoiled(jobs, reasons, currency, words),
        *(each for tell in by_job for each in tell(jobs, currency, words)),
    ]
    ranked = sorted(found, key=lambda each: -each.at_stake)[:HEADLINES_MAX]
    return ranked or [_nothing(jobs, words)]


def _nothing(jobs: Sequence[JobWeek], words: Words) -> Headline:
    if jobs:
        return Headline(at_stake=Decimal(0), say=words.say("Every job cost what was quoted."))
    return Headline(at_stake=Decimal(0), say=words.say("Nothing was finished or spoiled this week."))


def _spoiled(jobs: Iterable[JobWeek], reasons: Reasons, currency: str, words: Words) -> Iterator[Headline]:
    for job in jobs:
        if job.abnormal_spoilage > 0:
            first, *others = reasons[job.job]
            say = words.say(
                "{job} lost {amount} beyond the allowance to 1 spoiled piece: {why}."
                if job.spoiled == 1
                else "{job} lost {amount} beyond the allowance to {count} spoiled pieces: {why}.",
                job=job.job,
                amount=_money(job.abnormal_spoilage, currency, words),
                count=job.spoiled,
                why=words.say("mostly {reason}", reason=first.reason) if others else first.reason,
            )
            yield Headline(at_stake=job.abnormal_spoilage, say=say)


def _given_up(jobs: Iterable[JobWeek], currency: str, words: Words) -> Iterator[Headline]:
    for job in jobs:
        if job.given_up_cost > 0:
            say = words.say(
                "{job} lost {amount} in 1 piece that was given up."
                if job.given_up == 1
                else "{job} lost {amount} in {count} pieces that were given up.",
                job=job.job,
                amount=_money(job.given_up_cost, currency, words),
                count=job.given_up,
            )
            yield Headline(at_stake=job.given_up_cost, say=say)


def _losses(jobs: Iterable[JobWeek], currency: str, words: Words) -> Iterator[Headline]:
    for job in jobs:
        if job.margin_made < 0 and job.finished:
            amount = _money(-job.margin_made, currency, words)
            say = words.say("{job} lost money: {amount} more was spent than it brings.", job=job.job, amount=amount)
            yield Headline(at_stake=-job.margin_made, say=say)


def _variances(jobs: Iterable[JobWeek], currency: str, words: Words) -> Iterator[Headline]:
    for job in jobs:
        for element, variance in job.variance.items():
            amount = variance.price + variance.quantity
            if amount:
                say = words.say(
                    "{job}: {element} cost {amount} more than quoted, mainly {cause}."
                    if amount > 0
                    else "{job}: {element} cost {amount} less than quoted, mainly {cause}.",
                    job=job.job,
                    element=words.say(ELEMENT_WORDS[element]),
                    amount=_money(abs(amount), currency, words),
                    cause=_cause(element, variance, words),
                )
                yield Headline(at_stake=abs(amount), say=say)


def _cause(element: str, variance: Variance, words: Words) -> str:
    by_price = abs(variance.price) > abs(variance.quantity)
    if element in HOURLY:
        return words.say("by rate" if by_price else "by time taken")
    return words.say("by price" if by_price else "by how much was used")


def _money(amount: Decimal, currency: str, words: Words) -> str:
    """An amount with its currency's name, for it stands in a sentence: "1,234.50 USD"."""
    return f"{figure(amount, currency, words.language)} {currency}"
