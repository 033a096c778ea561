"""Old event bodies, lifted to the newest shape when they are read.

Never rewrites what is stored: the hash of a row covers the body as it was written.
"""

from collections.abc import Callable, Mapping
from typing import Any

import msgspec

from floor.ledger.errors import TooNew
from floor.ledger.old_quotes import with_keys
from shared.events.base import Event
from shared.events.recorded import BODY_VERSION, from_json

Body = dict[str, Any]
Lift = Callable[[Body], Body]
"""From a body of one version to the same event in the next; it may change the event's `kind`."""

LIFTS: Mapping[tuple[str, int], Lift] = {("job added", 1): with_keys}
"""By the kind and the version of the body that is lifted. A kind that is not here kept its shape."""


def lifted(body: str, version: int) -> Event:
    """The event of a stored body.

    Raises TooNew for a version that this program does not know, msgspec.MsgspecError for what is no event.
    """
    return from_json(
        body if version == BODY_VERSION or _kept_its_shape(body, version) else in_newest_shape(body, version)
    )


class _Kinded(msgspec.Struct):
    kind: str = ""


_kind_of = msgspec.json.Decoder(_Kinded)


def _kept_its_shape(body: str, version: int) -> bool:
    """Whether nothing was ever to be lifted: so it is with most rows, and they need not be taken apart for it."""
    kind = _kind_of.decode(body).kind
    return version < BODY_VERSION and not any((kind, old) in LIFTS for old in range(version, BODY_VERSION))


def in_newest_shape(
    body: str, version: int, newest: int = BODY_VERSION, lifts: Mapping[tuple[str, int], Lift] = LIFTS
) -> bytes:
    """A body as JSON in the `newest` shape, one version at a time."""
    if version > newest:
        raise TooNew(f"an event has version {version}, this program knows {newest}: install the newer piecewalk")
    shape = msgspec.json.decode(body, type=Body)
    for old in range(version, newest):
        lift = lifts.get((shape.get("kind", ""), old))
        shape = lift(shape) if lift else shape
    return msgspec.json.encode(shape)
