"""What a week's report holds: one set of data from which every form of it is drawn.

Never computes: floor.core.figures.week does.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal

from msgspec import Struct

from floor.core.cost.variance import Variance
from floor.core.times.cycle import Figures
from floor.core.times.use import HourUse
from shared.money import Element


class Headline(Struct, frozen=True, kw_only=True):
    """One thing worth saying about a week, and the money that is at stake in it."""

    at_stake: Decimal
    say: str


class JobWeek(Struct, frozen=True, kw_only=True):
    """What one job, or all of them, did in a week. Money in the shop's currency, rounded to its minor unit.

    `actual` holds spoilage up to the allowance that was quoted with the week's good pieces; what is above it is
    `abnormal_spoilage`. Margins are price less cost of the finished pieces; the margin made bears the abnormal
    spoilage too, and pieces that were given up.
    """

    job: str
    customer: str
    finished: int
    spoiled: int
    quoted: Mapping[str, Decimal]
    """By element, and "total", as `actual`."""
    actual: Mapping[str, Decimal]
    variance: Mapping[Element, Variance]
    variance_total: Decimal
    abnormal_spoilage: Decimal
    given_up: int = 0
    """Pieces that were given up with work in them, and all that had gone into them."""
    given_up_cost: Decimal = Decimal(0)
    causes: Mapping[str, Decimal] = {}
    """By cause: how much more it cost than quoted; they add up to `variance_total`."""
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
    """Millilitres of an ink; `read` of its `prints` were measured. Drawn and lost are None until levels are read."""

    drawn_ml: Decimal | None
    printed_ml: Decimal
    lost_ml: Decimal | None
    prints: int = 0
    read: int = 0


class HandsWeek(Struct, frozen=True, kw_only=True):
    """A pair of hands in a week: paid from its first read of a shift to a sign-out, or else to its last read.

    What of that went into pieces is told apart from the rest. `badge` None is work that nobody signed for: no more of
    it is known than what went into pieces.
    """

    badge: str | None
    paid_s: float
    absorbed_s: float
    unattributed_s: float
    paid: Decimal
    absorbed: Decimal
    unattributed: Decimal
    not_signed_out: int
    """In so many shifts it did not sign out, and is paid until its last read."""


class LateJob(Struct, frozen=True, kw_only=True):
    """A job that was finished after it was due, or is still open then; for how long, elapsed seconds."""

    job: str
    customer: str
    due: datetime
    finished: datetime | None
    late_s: float
    price: Decimal = Decimal(0)
    """What the whole job brings: a promise that was broken weighs as much."""


class MachineWeek(Struct, frozen=True, kw_only=True):
    """What a printer or a press did in a week: elapsed seconds, and those within opening hours (`…_open_s`).

    Busy = producing + delayed; a press is delayed for as long as it stays closed over its time. The ratios are those of
    ISO 22400-2. Of the steps that stand in it so many are derived; so many more were assumed, here or at its like.
    """

    station: str
    busy_s: float
    producing_s: float
    delayed_s: float
    busy_open_s: float
    planned_open_s: float
    down_open_s: float
    allocation_efficiency: float | None
    utilization_efficiency: float | None
    steps: int
    derived: int
    assumed: int
    hours: Sequence[HourUse]


class OverTime(Struct, frozen=True, kw_only=True):
    """A piece that stayed in a press for too long: for how long, and how long it had to at least, elapsed seconds."""

    piece: str
    job: str
    step: str
    press: str | None
    opened: datetime
    held_s: float
    least_s: float


class WetWeek(Struct, frozen=True, kw_only=True):
    """How long pieces lay wet before a press, elapsed seconds, against a limit."""

    limit_s: float
    wet_s: Figures
    within: Sequence[int]
    """Pieces by equal parts of the limit: those that waited least first."""
    over: int
    """Pieces that lay wet for longer than the limit."""


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
    late: Sequence[LateJob] = ()
    """The same, with how late: the latest first."""
    hands: Sequence[HandsWeek] = ()
    ink: Mapping[str, InkWeek]
    quality_ratio: float | None = None
    scrap_ratio: float | None = None
    rework_ratio: float | None = None
    """Of the pieces that were finished or spoiled (ISO 22400-2)."""
    machines: Sequence[MachineWeek] = ()
    wet: Sequence[WetWeek] = ()
    """For each limit, the lowest first."""
    over_time: Sequence[OverTime] = ()
    """What stayed in a press for too long, the longest first."""
    headlines: Sequence[Headline]
    """What matters most by money, the largest first."""
    anchor: str = ""
    """The number of the ledger's last row when this was written, and the beginning of its hash: who has them on paper
    can hold the ledger against them, by `check --anchor`."""
    revision: int = 0
    """How often the report of a closed week was written anew because scans for it came late."""

    @property
    def says(self) -> str:
        """The one thing that matters most this week."""
        return self.headlines[0].say
