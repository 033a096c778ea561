"""The ink book: readings of prints, refills, tank levels and factors, as they were told.

Never reckons with them: floor.core.ink does. It is changed by floor.core.folds.supplies alone.
"""

from bisect import bisect_right, insort
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from operator import attrgetter
from typing import NamedTuple

from shared.route import INKS, UNCALIBRATED, Factors, InkName


class Told(NamedTuple):
    """Something that was told of a moment. Of two that were told of one moment the later row holds."""

    at: datetime
    seq: int
    amount: Decimal
    """Millilitres, or a factor."""


_when = attrgetter("at")
Entries = dict[InkName, list[Told]]


def _entries() -> Entries:
    return {ink: [] for ink in INKS}


@dataclass(slots=True)
class InkBook:
    """Everything that was told of ink, in the order of the moments."""

    readings: dict[tuple[str, int], dict[InkName, Told]] = field(default_factory=lambda: defaultdict(dict))
    """By piece and index of the step: the latest reading of each ink."""
    refills: Entries = field(default_factory=_entries)
    levels: Entries = field(default_factory=_entries)
    factors: Entries = field(default_factory=_entries)
    imported: set[str] = field(default_factory=set)
    """The read ids of lines that were imported."""

    def read(self, piece: str, step: int, ink: InkName, reading: Told) -> None:
        """A print was measured; the latest measurement counts, whenever it is told."""
        known = self.readings[piece, step]
        known[ink] = max(reading, known.get(ink, reading))

    def readings_of(self, piece: str, step: int) -> Mapping[InkName, Told]:
        """What is known of one print: the inks that were read."""
        return self.readings.get((piece, step), {})

    def refilled(self, ink: InkName) -> list[Told]:
        """The refills that count."""
        return _last_of_each_moment(self.refills[ink])

    def levels_of(self, ink: InkName) -> list[Told]:
        """The levels that count."""
        return _last_of_each_moment(self.levels[ink])

    def factor_at(self, ink: InkName, at: datetime) -> Decimal:
        """The factor that was in force at a moment; 1 before the first was accepted."""
        factors = self.factors[ink]
        index = bisect_right(factors, at, key=_when)
        return factors[index - 1].amount if index else UNCALIBRATED[ink]

    def factors_at(self, at: datetime) -> Factors:
        """The factor of every ink that was in force at a moment."""
        return {ink: self.factor_at(ink, at) for ink in INKS}


def tell(entries: Entries, ink: InkName, told: Told) -> None:
    """Something was told: it finds its place by the moment that it is about."""
    insort(entries[ink], told, key=lambda each: each[:2])


def _last_of_each_moment(told: list[Told]) -> list[Told]:
    return list({each.at: each for each in told}.values())
