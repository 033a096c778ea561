"""What the floor is supplied with: the lots that are in use.

Never knows which pieces they went into: that follows from when and where each step was done.
"""

from typing import Literal

from shared.events.base import Event

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
