"""What the floor is supplied with: the lots that are in use, and ink, as it is read, refilled and measured.

Never knows which pieces a lot went into: that follows from when and where each step was done.
"""

from decimal import Decimal
from typing import Literal

from shared.events.base import Event, PieceEvent
from shared.route import InkName

Material = Literal["blank", "pretreat", "white_ink", "colour_ink", "cover_sheet"]


class LotOpened(Event, frozen=True, kw_only=True, tag="lot opened"):
    """A lot of a material is in use from now on, until another of the same is opened."""

    material: Material
    lot: str
    item: str | None = None
    """Which blank it is."""
    at_station: str | None = None
    """The only station that it is used at; None is all that use the material."""

    @property
    def stream(self) -> str:
        return f"lot {self.material}"


class InkRead(PieceEvent, frozen=True, kw_only=True, tag="ink read"):
    """What a print took of an ink was measured; of several readings of one print the latest counts."""

    step: int
    """Index in the piece's route."""
    ink: InkName
    ml: Decimal
    source: str = ""
    """The file that it was imported from; empty when it was typed."""


class InkEvent(Event, frozen=True, kw_only=True):
    """A fact about the tanks of one ink."""

    ink: InkName

    @property
    def stream(self) -> str:
        return f"ink {self.ink}"


class InkRefilled(InkEvent, frozen=True, kw_only=True, tag="ink refilled"):
    """So many millilitres were filled in; told again for the same moment, it is corrected."""

    ml: Decimal


class InkLevelRead(InkEvent, frozen=True, kw_only=True, tag="ink level read"):
    """So many millilitres were left in all the tanks of an ink; told again for the same moment, it is corrected."""

    ml: Decimal


class InkCalibrated(InkEvent, frozen=True, kw_only=True, tag="ink calibrated"):
    """From now on estimates of an ink are multiplied by a factor: what the shop's own readings say."""

    factor: Decimal
    n: int
    """Readings that it stands on."""
    spread: Decimal
    """How far a single print lies from its calibrated estimate, a share of it: one standard deviation, robust."""
