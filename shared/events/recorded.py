"""Events as the ledger holds them: which there are, their place in it, and their JSON.

Never folds them: what they mean for the floor is floor.core.folds.fold.
"""

from datetime import datetime
from typing import Any

import msgspec
from msgspec import Struct

from shared.events.floor import (
    AlarmCleared,
    AlarmRaised,
    ScannerFound,
    ScannerLost,
    WeekReported,
    WorkDone,
)
from shared.events.jobs import (
    JobAdded,
    JobCancelled,
    JobForetold,
    JobHeld,
    JobReleased,
    PieceOpened,
)
from shared.events.prices import PricesSet, StockReceived
from shared.events.reads import (
    CareDone,
    Contradicted,
    PieceSpoiled,
    Read,
    ReadRefused,
    ReasonRead,
    ReasonTakenBack,
    SignedIn,
    SignedOut,
    StationCameUp,
    StationTaken,
    StationWentDown,
    StepAssumed,
    StepDone,
    StepInterrupted,
    StepStarted,
    TakenOut,
    Undone,
)
from shared.events.supplies import InkCalibrated, InkLevelRead, InkRead, InkRefilled, LotOpened

Happening = (
    JobAdded
    | JobHeld
    | JobReleased
    | JobCancelled
    | JobForetold
    | PieceOpened
    | StepStarted
    | StepDone
    | StepInterrupted
    | StepAssumed
    | PieceSpoiled
    | TakenOut
    | Contradicted
    | Undone
    | ReadRefused
    | StationTaken
    | SignedIn
    | SignedOut
    | StationWentDown
    | StationCameUp
    | ReasonRead
    | ReasonTakenBack
    | CareDone
    | ScannerLost
    | ScannerFound
    | AlarmRaised
    | AlarmCleared
    | WorkDone
    | WeekReported
    | LotOpened
    | InkRead
    | InkRefilled
    | InkLevelRead
    | InkCalibrated
    | PricesSet
    | StockReceived
)

BODY_VERSION = 2
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


def fact_of(row: Recorded) -> Fact:
    """What was to be recorded, as it was before it had its place in a ledger."""
    return Fact(
        event=row.event,
        occurred_at=row.occurred_at,
        station=row.station,
        badge=row.badge,
        device=row.device,
        read_id=row.read_id,
    )


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
