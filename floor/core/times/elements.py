"""The time elements, quantities and ratios of ISO 22400-2 (key performance indicators for manufacturing operations).

Never knows where they come from: floor.core.times.use counts them. A ratio by nothing is None.
"""

from datetime import timedelta
from typing import TypeVar

from msgspec import Struct

NO_TIME = timedelta(0)
Amount = TypeVar("Amount", timedelta, float)


def _ratio(part: Amount, whole: Amount) -> float | None:
    return part / whole if whole else None


class Elements(Struct, frozen=True, kw_only=True):
    """The actual time elements of one order, or of one work unit. The names in brackets are the standard's."""

    production: timedelta = NO_TIME
    """Value is added (APT)."""
    setup: timedelta = NO_TIME
    """The unit is prepared for the order (AUST)."""
    delay: timedelta = NO_TIME
    """The unit is held by the order and adds no value: stops, a press over its time (ADET)."""
    transport: timedelta = NO_TIME
    """ATT."""
    queuing: timedelta = NO_TIME
    """Neither in process nor in transport (AQT)."""

    @property
    def processing(self) -> timedelta:
        """Actual unit processing time: AUPT = AUST + APT."""
        return self.setup + self.production

    @property
    def busy(self) -> timedelta:
        """Actual unit busy time: AUBT = AUPT + ADET."""
        return self.processing + self.delay

    @property
    def execution(self) -> timedelta:
        """Actual order execution time: AOET = AUBT + ATT + AQT."""
        return self.busy + self.transport + self.queuing

    @property
    def utilization_efficiency(self) -> float | None:
        """APT / AUBT."""
        return _ratio(self.production, self.busy)

    def allocation_efficiency(self, planned_busy: timedelta) -> float | None:
        """AUBT / PBT."""
        return _ratio(self.busy, planned_busy)


class Quantities(Struct, frozen=True, kw_only=True):
    """Pieces: produced is good and scrapped together (PQ = GQ + SQ).

    A remake is a scrapped piece and a second produced one. Nothing here is made good again, so reworked is 0.
    """

    good: int = 0
    scrapped: int = 0
    reworked: int = 0
    inspected: int = 0
    passed: int = 0
    """Good at their first inspection."""

    @property
    def produced(self) -> int:
        """PQ."""
        return self.good + self.scrapped

    @property
    def quality_ratio(self) -> float | None:
        """GQ / PQ."""
        return _ratio(self.good, self.produced)

    @property
    def scrap_ratio(self) -> float | None:
        """SQ / PQ."""
        return _ratio(self.scrapped, self.produced)

    @property
    def rework_ratio(self) -> float | None:
        """RQ / PQ."""
        return _ratio(self.reworked, self.produced)

    @property
    def first_pass_yield(self) -> float | None:
        """GP / IP: parts good at their first inspection by parts inspected."""
        return _ratio(self.passed, self.inspected)
