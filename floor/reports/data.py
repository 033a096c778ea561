"""What a week's report holds: one set of data from which every form of it is drawn.

Never computes: floor.reports.week does.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal

from msgspec import Struct

from floor.cost.variance import Variance
from floor.cycle import Figures
from shared.money import Element


class Headline(Struct, frozen=True, kw_only=True):
    """One thing worth saying about a week, and the money that is at stake in it."""

    at_stake: Decimal
    say: str


class JobWeek(Struct, frozen=True, kw_only=True):
    """What one job, or all of them, did in a week. Money in the shop's currency, rounded to its minor unit.

    `actual` holds spoilage up to the allowance that was quoted with the week's good pieces; what is above it is
    `abnormal_spoilage`. Margins are price less cost of the finished pieces; the margin made bears the abnormal
    spoilage too.
    """

    job: str
    customer: str
    finished: int
    spoiled: int
    quoted: Mapping[str, str]
    actual: Mapping[str, str]
    variance: Mapping[Element, Variance]
    variance_total: Decimal
    abnormal_spoilage: Decimal
    price: Decimal
    margin_quoted: Decimal
    margin_made: Decimal


class StepWeek(Struct, frozen=True, kw_only=True):
    """The times of one step in a week, elapsed seconds."""

    queuing_s: Figures
    processing_s: Figures


class SpoiledFor(Struct, frozen=True, kw_only=True):
    """What was spoiled for one reason, and all that had gone into it."""

    reason: str
    pieces: int
    cost: Decimal


class InkWeek(Struct, frozen=True, kw_only=True):
    """Millilitres of an ink. Drawn and lost are None until tank levels are read."""

    drawn_ml: Decimal | None
    printed_ml: Decimal
    lost_ml: Decimal | None


class WeekReport(Struct, frozen=True, kw_only=True):
    """A whole week, in the shop's zone, up to `until`."""

    week: str
    currency: str
    start: datetime
    until: datetime
    finished: int
    spoiled: int
    open: int
    jobs: Sequence[JobWeek]
    total: JobWeek
    cycle_time_s: Figures
    cycle_time_working_s: Figures
    steps: Mapping[str, StepWeek]
    first_pass_yield: float | None
    throughput_per_hour: float | None
    spoiled_by_reason: Sequence[SpoiledFor]
    late_jobs: Sequence[str]
    ink: Mapping[str, InkWeek]
    headlines: Sequence[Headline]
    """What matters most by money, the largest first."""
    revision: int = 0
    """How often the report of a closed week was written anew because scans for it came late."""

    @property
    def says(self) -> str:
        """The one thing that matters most this week."""
        return self.headlines[0].say
