"""A job: what a customer ordered, and how far it is.

Never decides. It is changed by floor.core.folds alone.
"""

from dataclasses import dataclass, field
from datetime import datetime

from floor.core.state.piece import Piece
from shared.events.jobs import Line


@dataclass(slots=True)
class Job:
    """What a customer ordered, and how far it is."""

    code: str
    customer: str
    due: datetime
    currency: str
    lines: tuple[Line, ...]
    added: datetime
    pieces: list[Piece] = field(default_factory=list)
    held_since: datetime | None = None
    held_why: str = ""
    was_held: bool = False
    """Whether it was ever on hold, so that it could not be finished when it might have been."""
    cancelled: datetime | None = None
    """When it was given up."""
    cancelled_why: str = ""
    foretold: tuple[datetime, datetime] | None = None
    """When a forecast of it was made, and when it was expected to be finished."""

    @property
    def held(self) -> bool:
        """Whether work on it is stopped for now."""
        return self.held_since is not None

    @property
    def why(self) -> str:
        """The word that was said when it was given up, or put on hold; nothing of one that goes on."""
        return self.cancelled_why if self.cancelled else self.held_why if self.held else ""

    def line(self, number: int) -> Line:
        """A line by its number, from 1."""
        return self.lines[number - 1]

    @property
    def wanted(self) -> int:
        """Good pieces that the customer ordered."""
        return sum(line.quantity for line in self.lines)

    @property
    def finished(self) -> bool:
        """Whether nothing of it is open."""
        return not any(piece.state == "open" for piece in self.pieces)
