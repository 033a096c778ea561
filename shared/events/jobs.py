"""Jobs and their pieces: what was ordered, at which quote, and what became of the order.

Never computes a cost: the quote comes frozen.
"""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal

from msgspec import Struct

from shared.events.base import JobEvent, PieceEvent
from shared.money import Costing
from shared.route import Step


class PrintSize(Struct, frozen=True, kw_only=True):
    """How large a print is."""

    width_mm: Decimal
    height_mm: Decimal


class Line(Struct, frozen=True, kw_only=True):
    """One design on one item in one colour, as ordered: sizes with their quantities, and the quote for one of each."""

    number: int
    design: str
    item: str
    colour: str
    shade: str
    sizes: Mapping[str, int]
    places: tuple[str, ...]
    artwork: Mapping[str, str] = {}
    """Place to picture file, relative to the shop folder."""
    print_sizes: Mapping[str, PrintSize] = {}
    """By place; jobs that were taken before these were kept have none."""
    price_each: Decimal
    quoted: Mapping[str, Costing]
    """Size to the frozen quote of one good piece of that size: every quantity and every price in it."""

    @property
    def quantity(self) -> int:
        """Pieces ordered on this line."""
        return sum(self.sizes.values())


class JobAdded(JobEvent, frozen=True, kw_only=True, tag="job added"):
    """A customer's order was taken at a quoted cost."""

    customer: str
    due: datetime
    currency: str
    lines: tuple[Line, ...]


class JobHeld(JobEvent, frozen=True, kw_only=True, tag="job held"):
    """Work on a job was stopped for now."""

    why: str = ""


class JobReleased(JobEvent, frozen=True, kw_only=True, tag="job released"):
    """Work on a held job may go on."""


class JobCancelled(JobEvent, frozen=True, kw_only=True, tag="job cancelled"):
    """A job was given up; its open pieces with it."""

    why: str = ""


class JobForetold(JobEvent, frozen=True, kw_only=True, tag="job foretold"):
    """When a job was expected to be finished, as the floor stood when it was taken; held against what happens."""

    expected: datetime


class PieceOpened(PieceEvent, frozen=True, kw_only=True, tag="piece opened"):
    """A piece got its code, its ticket and its route; a remake names the piece that it replaces."""

    job: str
    line: int
    number: int
    """Its place among the line's pieces, from 1; a remake bears the number of the piece that it replaces."""
    size: str
    route: tuple[Step, ...]
    remake_of: str | None = None
