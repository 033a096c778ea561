"""What matters most in a week: causes added up across jobs, promises broken, margin lost; in plain words.

Never says what the figures do not: each line names its figure, its jobs and its cause.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from types import MappingProxyType
from typing import NamedTuple

from floor.core.cost.account import Entry
from floor.core.cost.variance import Variance
from floor.core.figures.data import Headline, JobWeek, LateJob, SpoiledFor
from shared.money import Element
from shared.wording import duration, figure, spaced
from shared.words import ENGLISH, Words

HEADLINES_MAX = 4
"""The first, and the three next."""
SHARE_LEAST = Decimal("0.01")
"""Of the week's margin: what is at stake for less is no headline, be it money or a promise."""
AMOUNT_LEAST = Decimal(1)
"""Nor is what is at stake for less than one of the currency."""

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

BySteps = Mapping[tuple[Element, str], Decimal]
"""By element and step: how much more it cost than quoted."""


class Week(NamedTuple):
    """What headlines are made from."""

    jobs: Sequence[JobWeek]
    reasons: Mapping[str, Sequence[SpoiledFor]] = MappingProxyType({})
    """By job: why its pieces were spoiled, the costliest reason first."""
    late: Sequence[LateJob] = ()
    steps: BySteps = MappingProxyType({})


def by_steps(entries: Iterable[Entry], so_far: BySteps) -> BySteps:
    """What each step cost more than quoted, of the elements that belong to steps, with what it cost so far."""
    sums = defaultdict(Decimal, so_far)
    for entry in entries:
        kind = entry.difference.kind
        if kind.step:
            sums[kind.element, kind.step] += entry.difference.total
    return sums


def headlines(week: Week, currency: str, words: Words = ENGLISH) -> list[Headline]:
    """The largest stakes first; always at least one line."""
    say = _Saying(week, currency, words)
    least = max(SHARE_LEAST * abs(sum((job.margin_quoted for job in week.jobs), Decimal(0))), AMOUNT_LEAST)
    told = [each for each in (*say.late(), *say.money()) if each.at_stake >= least]
    ranked = sorted(told, key=lambda each: -each.at_stake)[:HEADLINES_MAX]
    return ranked or [Headline(at_stake=Decimal(0), say=say.nothing())]


class _Saying:
    """The sentences of one week."""

    def __init__(self, week: Week, currency: str, words: Words) -> None:
        self._week = week
        self._currency = currency
        self._words = words

    def nothing(self) -> str:
        """What is said where nothing is worth a headline."""
        if not self._week.jobs:
            return self._words.say("Nothing was finished or spoiled this week.")
        if any(_total(variance) for job in self._week.jobs for variance in job.variance.values()):
            return self._words.say("No job cost notably more or less than was quoted.")
        return self._words.say("Every job cost what was quoted.")

    def late(self) -> Iterator[Headline]:
        """Promises broken, by what those jobs bring; the report lists each, however small."""
        if not self._week.late:
            return
        latest, *others = self._week.late
        say = self._words.say(
            "{count} jobs are late, {job} by {over}." if others else "{job} is late by {over}.",
            count=len(others) + 1,
            job=latest.job,
            over=duration(latest.late_s),
        )
        yield Headline(at_stake=sum((each.price for each in self._week.late), Decimal(0)), say=say)

    def money(self) -> Iterator[Headline]:
        """All that cost money."""
        yield from self._spoiled()
        yield from self._given_up()
        yield from self._losses()
        for element in ELEMENT_WORDS:
            yield from self._variance(element)  # type: ignore[arg-type]  # the words are of all elements

    def _spoiled(self) -> Iterator[Headline]:
        jobs = [job for job in self._week.jobs if job.abnormal_spoilage > 0]
        if not jobs:
            return
        lost, pieces = sum((job.abnormal_spoilage for job in jobs), Decimal(0)), sum(job.spoiled for job in jobs)
        costs: Counter[str] = Counter()
        for reason in (reason for job in jobs for reason in self._week.reasons[job.job]):
            costs[reason.reason] += reason.cost  # type: ignore[assignment]  # a Counter adds up Decimals as well
        [(first, _), *others] = costs.most_common()
        say = self._words.say(
            _one_or_many(
                jobs,
                pieces,
                "{job} lost {amount} beyond the allowance to 1 spoiled piece: {why}.",
                "{job} lost {amount} beyond the allowance to {count} spoiled pieces: {why}.",
                "{jobs} jobs lost {amount} beyond the allowance to {count} spoiled pieces: {why}.",
            ),
            **self._named(jobs, lost, pieces),
            why=self._words.say("mostly {reason}", reason=first) if others else first,
        )
        yield Headline(at_stake=lost, say=say)

    def _given_up(self) -> Iterator[Headline]:
        jobs = [job for job in self._week.jobs if job.given_up_cost > 0]
        if not jobs:
            return
        lost, pieces = sum((job.given_up_cost for job in jobs), Decimal(0)), sum(job.given_up for job in jobs)
        say = self._words.say(
            _one_or_many(
                jobs,
                pieces,
                "{job} lost {amount} in 1 piece that was given up.",
                "{job} lost {amount} in {count} pieces that were given up.",
                "{jobs} jobs lost {amount} in {count} pieces that were given up.",
            ),
            **self._named(jobs, lost, pieces),
        )
        yield Headline(at_stake=lost, say=say)

    def _losses(self) -> Iterator[Headline]:
        jobs = sorted((job for job in self._week.jobs if job.margin_made < 0 and job.finished), key=_margin)
        if not jobs:
            return
        lost = -sum((job.margin_made for job in jobs), Decimal(0))
        say = self._words.say(
            "{jobs} jobs lost money, {job} most of all: {amount} more was spent than they bring."
            if len(jobs) > 1
            else "{job} lost money: {amount} more was spent than it brings.",
            **self._named(jobs, lost),
        )
        yield Headline(at_stake=lost, say=say)

    def _variance(self, element: Element) -> Iterator[Headline]:
        jobs = [job for job in self._week.jobs if _total(job.variance[element])]
        variance = Variance(
            price=sum((job.variance[element].price for job in jobs), Decimal(0)),
            quantity=sum((job.variance[element].quantity for job in jobs), Decimal(0)),
        )
        amount = _total(variance)
        if not amount:
            return
        named = {
            **self._named(jobs, abs(amount)),
            "element": self._words.say(ELEMENT_WORDS[element]),
            "cause": self._cause(element, variance),
        }
        if len(jobs) > 1:
            text = (
                "In {jobs} jobs {element} cost {amount} more than quoted, mainly {cause}."
                if amount > 0
                else "In {jobs} jobs {element} cost {amount} less than quoted, mainly {cause}."
            )
            say = self._words.say(text, **named)
        else:
            one = (
                "{job}: {element} cost {amount} more than quoted, mainly {cause}."
                if amount > 0
                else "{job}: {element} cost {amount} less than quoted, mainly {cause}."
            )
            say = self._words.say(one, **named)
        yield Headline(at_stake=abs(amount), say=say)

    def _cause(self, element: Element, variance: Variance) -> str:
        by_price, say = abs(variance.price) > abs(variance.quantity), self._words.say
        steps = {step: amount for (of, step), amount in self._week.steps.items() if of == element}
        if not by_price and len(steps) > 1:
            way = 1 if _total(variance) > 0 else -1
            return say("at {step}", step=spaced(max(steps, key=lambda step: way * steps[step])))
        if element in HOURLY:
            return say("by rate" if by_price else "by time taken")
        return say("by price" if by_price else "by how much was used")

    def _named(self, jobs: Sequence[JobWeek], amount: Decimal, pieces: int = 0) -> dict[str, object]:
        """What sentences about jobs name: the first of them, how many, and an amount with its currency."""
        money = f"{figure(amount, self._currency, self._words.language)} {self._currency}"
        return {"job": jobs[0].job, "jobs": len(jobs), "amount": money, "count": pieces}


def _one_or_many(jobs: Sequence[JobWeek], pieces: int, one: str, several: str, in_jobs: str) -> str:
    return in_jobs if len(jobs) > 1 else several if pieces > 1 else one


def _total(variance: Variance) -> Decimal:
    return variance.price + variance.quantity


def _margin(job: JobWeek) -> tuple[Decimal, str]:
    return job.margin_made, job.job
