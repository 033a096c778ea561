"""The events: everything that can happen on the floor, frozen, in the past tense; to and from JSON.

Never folds them: what they mean for the floor is floor.state.
"""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any, Literal

import msgspec
from msgspec import Struct

from shared.money import Costing
from shared.route import Step
from shared.scan import Answer


class Event(Struct, frozen=True, kw_only=True, tag_field="kind", omit_defaults=True, gc=False):
    """A fact. Its fields are the body of a ledger row; its tag is the row's kind.

    Facts are plain frozen data and refer to nothing that could refer back to them, so Python's search for cycles
    need not look at the hundred thousands of them that a running floor holds (`gc=False`).
    """

    @property
    def stream(self) -> str:
        """The piece, job or station that the fact belongs to, or "floor"."""
        return "floor"


# Jobs and their pieces


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
    price_each: Decimal
    quoted: Mapping[str, Costing]
    """Size to the frozen quote of one good piece of that size: every quantity and every price in it."""

    @property
    def quantity(self) -> int:
        """Pieces ordered on this line."""
        return sum(self.sizes.values())


class JobEvent(Event, frozen=True, kw_only=True):
    """A fact about one job."""

    job: str

    @property
    def stream(self) -> str:
        return self.job


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


class PieceEvent(Event, frozen=True, kw_only=True):
    """A fact about one piece."""

    piece: str

    @property
    def stream(self) -> str:
        return self.piece


class PieceOpened(PieceEvent, frozen=True, kw_only=True, tag="piece opened"):
    """A piece got its code, its ticket and its route; a remake names the piece that it replaces."""

    job: str
    line: int
    number: int
    """Its place among the line's pieces, from 1; a remake bears the number of the piece that it replaces."""
    size: str
    route: tuple[Step, ...]
    remake_of: str | None = None


# What a read did


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


class PieceSpoiled(PieceEvent, frozen=True, kw_only=True, tag="piece spoiled"):
    """A piece cannot be sold; `remake` is the piece that was opened in its place."""

    reason: str
    remake: str
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


class StationEvent(Event, frozen=True, kw_only=True):
    """A fact about one station."""

    at_station: str

    @property
    def stream(self) -> str:
        return f"station {self.at_station}"


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


# What the devices did


class ScannerEvent(Event, frozen=True, kw_only=True):
    """A fact about one scanner."""

    scanner: str

    @property
    def stream(self) -> str:
        return f"scanner {self.scanner}"


class ScannerLost(ScannerEvent, frozen=True, kw_only=True, tag="scanner lost"):
    """A scanner is not there: unplugged, switched off, out of reach."""

    why: str


class ScannerFound(ScannerEvent, frozen=True, kw_only=True, tag="scanner found"):
    """A scanner that was lost is there again."""


# What time did

AlarmKind = Literal[
    "wet too long", "press open now", "press over time", "opened too early", "job late", "scanner absent", "care due"
]


class AlarmEvent(Event, frozen=True, kw_only=True):
    """A fact about one alarm."""

    alarm: AlarmKind
    subject: str
    """The piece, job or task that it is about."""

    @property
    def stream(self) -> str:
        return self.subject


class AlarmRaised(AlarmEvent, frozen=True, kw_only=True, tag="alarm raised"):
    """Something needs a person; `since` is when it fell due, which may be long before it was noticed."""

    since: datetime
    say: str
    at_station: str | None = None


class AlarmCleared(AlarmEvent, frozen=True, kw_only=True, tag="alarm cleared"):
    """What an alarm was about has been dealt with."""


class WorkDone(Event, frozen=True, kw_only=True, tag="work done"):
    """A daily or weekly task of the floor itself was done for a day or a week: "sign out", "2026-11-25"."""

    task: str
    period: str


Happening = (
    JobAdded
    | JobHeld
    | JobReleased
    | JobCancelled
    | PieceOpened
    | StepStarted
    | StepDone
    | StepAssumed
    | PieceSpoiled
    | Contradicted
    | Undone
    | ReadRefused
    | StationTaken
    | SignedIn
    | SignedOut
    | ReasonRead
    | ReasonTakenBack
    | CareDone
    | ScannerLost
    | ScannerFound
    | AlarmRaised
    | AlarmCleared
    | WorkDone
)

BODY_VERSION = 1
"""The shape of the bodies that are written today; older ones are lifted to it when read."""


class Recorded(Struct, frozen=True, kw_only=True, gc=False):
    """An event with its place in the ledger. Moments are UTC: by the scanner's side, and by the ledger's."""

    seq: int
    occurred_at: datetime
    recorded_at: datetime
    event: Happening
    station: str | None = None
    badge: str | None = None
    device: str | None = None
    read_id: str | None = None


class Fact(Struct, frozen=True, kw_only=True):
    """An event that has been decided and waits to be recorded: what happened, when, where, by whose hands."""

    event: Happening
    occurred_at: datetime
    station: str | None = None
    badge: str | None = None
    device: str | None = None
    read_id: str | None = None


_encoder = msgspec.json.Encoder(order="sorted")
_decoder: msgspec.json.Decoder[Happening] = msgspec.json.Decoder(Happening)


def to_json(event: Happening) -> str:
    """An event as JSON with sorted keys: money and decimals as strings, moments as RFC 3339 in UTC."""
    return _encoder.encode(event).decode()


def from_json(body: str | bytes) -> Happening:
    """The event that `to_json` wrote.

    Raises msgspec.ValidationError for a body that is no event, msgspec.DecodeError for what is no JSON.
    """
    event: Happening = _decoder.decode(body)
    return event


def kind_of(event: Happening) -> str:
    """The row's kind: the event's name, "step done"."""
    return str(event.__struct_config__.tag)


def read_of(event: Happening) -> Read | None:
    """The read that caused an event; None for what no read caused, or only followed from one."""
    read: Read | None = getattr(event, "read", None)
    return read


def as_dict(event: Happening) -> dict[str, Any]:
    """An event as plain data, for a page or an export."""
    return dict(msgspec.to_builtins(event))
