"""Events as the ledger holds them: which there are, their place in it, and their JSON.

Never folds them: what they mean for the floor is floor.core.folds.fold.
"""

from collections.abc import Iterator
from datetime import datetime
from functools import reduce
from operator import attrgetter, or_
from types import ModuleType
from typing import Any

import msgspec
from msgspec import Struct

from shared.events import floor, jobs, prices, reads, supplies
from shared.events.base import Event
from shared.events.reads import Read, SignedIn

FILES = (jobs, reads, floor, supplies, prices)
"""Where the events are."""

AT = attrgetter("occurred_at")
"""When a row occurred."""
BY_MOMENT = attrgetter("occurred_at", "seq")
"""Rows by when they occurred; two at one moment by when they arrived."""
BODY_VERSION = 2
"""The shape of the bodies that are written today; older ones are lifted to it when read."""


def _kinds(file: ModuleType) -> Iterator[type[Event]]:
    """The events of a file, as they stand in it; what others are made from is none."""
    for kind in vars(file).values():
        if isinstance(kind, type) and issubclass(kind, Event) and kind.__module__ == file.__name__:
            yield from () if kind.__subclasses__() else (kind,)


KINDS: tuple[type[Event], ...] = tuple(kind for file in FILES for kind in _kinds(file))
"""Every kind of event there is."""


class Recorded(Struct, frozen=True, kw_only=True, gc=False):
    """An event with its place in the ledger. Moments are UTC: by the scanner's side, and by the ledger's."""

    seq: int
    occurred_at: datetime
    recorded_at: datetime
    event: Event
    station: str | None = None
    badge: str | None = None
    device: str | None = None
    read_id: str | None = None


class Fact(Struct, frozen=True, kw_only=True):
    """An event that has been decided and waits to be recorded: what happened, when, where, by whose hands."""

    event: Event
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
_decoder: msgspec.json.Decoder[Event] = msgspec.json.Decoder(reduce(or_, KINDS))


def to_json(event: Event) -> str:
    """An event as JSON with sorted keys: money and decimals as strings, moments as RFC 3339 in UTC."""
    return _encoder.encode(event).decode()


def from_json(body: str | bytes) -> Event:
    """The event that `to_json` wrote.

    Raises msgspec.ValidationError for a body that is no event, msgspec.DecodeError for what is no JSON.
    """
    event: Event = _decoder.decode(body)
    return event


def kind_of(event: Event) -> str:
    """The row's kind: the event's name, "step done"."""
    return str(event.__struct_config__.tag)


def read_of(event: Event) -> Read | None:
    """The read that caused an event; None for what no read caused, or only followed from one."""
    read: Read | None = getattr(event, "read", None)
    return read


def hands_of(row: Recorded) -> str:
    """The badge whose hands a read shows, the one that signs in by it too; nobody's is ""."""
    return row.event.badge_name if isinstance(row.event, SignedIn) else row.badge or ""


def as_dict(event: Event) -> dict[str, Any]:
    """An event as plain data, for a page or an export."""
    return dict(msgspec.to_builtins(event))
