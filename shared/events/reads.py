"""What a read at a scanner did: to a piece, to a station, or nothing at all.

Never decides what a read does: that is floor.core.rules.
"""

from msgspec import Struct

from shared.events.base import Event, PieceEvent, StationEvent
from shared.scan import Answer


class Read(Struct, frozen=True, kw_only=True, gc=False):
    """What was read and what the operator was told: kept with the fact that it caused."""

    text: str
    answer: Answer


class StepStarted(PieceEvent, frozen=True, kw_only=True, tag="step started"):
    """A piece went into a step that is scanned at both ends, such as a press that was closed on it."""

    step: int
    """Index in the piece's route."""
    read: Read | None = None


class StepDone(PieceEvent, frozen=True, kw_only=True, tag="step done"):
    """A step was done: pretreated, colour printed, cured … (`event` is the shop's name for it)."""

    step: int
    event: str
    read: Read | None = None


class StepAssumed(PieceEvent, frozen=True, kw_only=True, tag="step assumed"):
    """A step was not scanned, but a later scan shows that it must have been done, at an unknown time."""

    step: int
    event: str


class StepInterrupted(PieceEvent, frozen=True, kw_only=True, tag="step interrupted"):
    """A press went down before a piece in it had had its time: the step counts as not begun."""

    step: int


class PieceSpoiled(PieceEvent, frozen=True, kw_only=True, tag="piece spoiled"):
    """A piece cannot be sold; `remake` is the piece that was opened in its place."""

    reason: str
    remake: str
    read: Read | None = None


class TakenOut(PieceEvent, frozen=True, kw_only=True, tag="taken out"):
    """A piece that was spoiled or given up in a closed press was taken out of it."""

    read: Read | None = None


class Contradicted(PieceEvent, frozen=True, kw_only=True, tag="contradicted"):
    """A late read says something else than what is recorded; it is kept for a person to settle."""

    step: int
    read: Read | None = None


class Undone(PieceEvent, frozen=True, kw_only=True, tag="undone"):
    """Earlier rows about this piece are corrected: they no longer count."""

    rows: tuple[int, ...]
    """The `seq` of each row that is corrected."""
    remake: str | None = None
    """The remake that is given up again, when what was undone is the spoiling."""
    read: Read | None = None


class ReadRefused(Event, frozen=True, kw_only=True, tag="read refused"):
    """A read led to nothing but an answer; `piece` and `at_station` are what it was about, where that is known."""

    read: Read
    piece: str | None = None
    at_station: str | None = None

    @property
    def stream(self) -> str:
        if self.piece:
            return self.piece
        return f"station {self.at_station}" if self.at_station else "floor"


class StationTaken(Event, frozen=True, kw_only=True, tag="station taken"):
    """A roaming scanner read a station's card and scans there from now on."""

    scanner: str
    at_station: str
    read: Read | None = None


class SignedIn(StationEvent, frozen=True, kw_only=True, tag="signed in"):
    """A pair of hands works at a station from now on."""

    badge_name: str
    read: Read | None = None


class SignedOut(StationEvent, frozen=True, kw_only=True, tag="signed out"):
    """Nobody is signed in at a station from now on."""

    read: Read | None = None


class StationWentDown(StationEvent, frozen=True, kw_only=True, tag="station went down"):
    """A station takes no work from now on: it is broken, or is being cleaned."""

    read: Read | None = None


class StationCameUp(StationEvent, frozen=True, kw_only=True, tag="station came up"):
    """A station that was down takes work again."""

    read: Read | None = None


class ReasonRead(StationEvent, frozen=True, kw_only=True, tag="reason read"):
    """A reason card was read: the next piece here is spoiled for that reason."""

    reason: str
    read: Read | None = None


class ReasonTakenBack(StationEvent, frozen=True, kw_only=True, tag="reason taken back"):
    """The reason card that was read here no longer waits for a piece."""

    read: Read | None = None


class CareDone(Event, frozen=True, kw_only=True, tag="care done"):
    """A care task, such as stirring the white ink, was done."""

    task: str
    read: Read | None = None
