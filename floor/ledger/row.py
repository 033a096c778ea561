"""A row of the ledger as it is stored, the hash that chains it to the row before, and its event.

Never touches a database, so that a row is the same in each of them.
"""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from typing import NamedTuple

import msgspec

from floor.ledger.errors import Damaged
from floor.ledger.lift import lifted
from shared.events.recorded import BODY_VERSION, Fact, Recorded, kind_of, to_json


class Row(NamedTuple):
    """One row. Moments are microseconds since 1970 in UTC; `hash` is in hexadecimal."""

    seq: int
    stream: str
    version: int
    kind: str
    occurred_at: int
    recorded_at: int
    read_id: str | None
    station: str | None
    badge: str | None
    device: str | None
    body: str
    body_version: int
    hash: str


Replayed = tuple[int, int, int, str | None, str | None, str | None, str | None, str, int]
"""The part of a row that an event is made from; the fewer columns, the faster the replay."""

REPLAYED = (
    "seq",
    "occurred_at",
    "recorded_at",
    "read_id",
    "station",
    "badge",
    "device",
    "body",
    "body_version",
)


class Head(NamedTuple):
    """The last row of a ledger: its number and its hash, 0 and "" while there is none."""

    seq: int = 0
    hash: str = ""


_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)
_canonical = msgspec.json.Encoder().encode


def microseconds(at: datetime) -> int:
    """Microseconds since 1970 in UTC, exact. Raises ValueError for a moment without a time zone."""
    if at.tzinfo is None:
        raise ValueError(f"{at.isoformat()} has no time zone; use UTC")
    return (at - _EPOCH) // _MICROSECOND


def moment(since_1970_us: int) -> datetime:
    """The moment that `microseconds` counted, in UTC."""
    return _EPOCH + since_1970_us * _MICROSECOND


def digest(row: Row, before: str) -> str:
    """SHA-256, in hexadecimal, of the hash before and all other fields of a row, as a JSON array.

    The array is in the form of RFC 8785 (no white space, shortest escapes, UTF-8): any language can make it.
    """
    return sha256(_canonical((before, *row[:-1]))).hexdigest()


def wrong_with(row: Row, before: Head, last_version: int) -> str | None:
    """Why a row does not continue the chain after `before` and its stream's last version; None when it does."""
    if row.seq != before.seq + 1:
        return f"it is missing, the next one is {row.seq}"
    if row.hash != digest(row, before.hash):
        return "it was changed after it was written"
    if row.version != last_version + 1:
        return f"it is version {row.version} of {row.stream!r}, expected {last_version + 1}"
    return None


def draft(fact: Fact, seq: int, recorded_at_us: int) -> Row:
    """A row that wants only its version and its hash.

    Raises ValueError for a moment without a time zone, and for text that no database takes.
    """
    for name in (fact.event.stream, fact.read_id, fact.station, fact.badge, fact.device):
        if name is not None and b"\0" in name.encode():  # half of a surrogate pair is a ValueError here
            raise ValueError(f"{name!r} holds a NUL, which PostgreSQL does not take")
    return Row(
        seq=seq,
        stream=fact.event.stream,
        version=0,
        kind=kind_of(fact.event),
        occurred_at=microseconds(fact.occurred_at),
        recorded_at=recorded_at_us,
        read_id=fact.read_id,
        station=fact.station,
        badge=fact.badge,
        device=fact.device,
        body=to_json(fact.event),
        body_version=BODY_VERSION,
        hash="",
    )


def sealed(drafts: Sequence[Row], versions: Mapping[str, int], before: str) -> list[Row]:
    """Drafts with their versions and hashes, ready to be stored.

    `versions` is the last version of each stream that has one; `before` the hash of the row before.
    """
    last = dict(versions)
    rows = []
    for row in drafts:
        version = last.get(row.stream, 0) + 1
        numbered = row._replace(version=version)
        before = digest(numbered, before)
        rows.append(numbered._replace(hash=before))
        last[row.stream] = version
    return rows


def replayed(row: Row) -> Replayed:
    """The part of a row that an event is made from."""
    return (
        row.seq,
        row.occurred_at,
        row.recorded_at,
        row.read_id,
        row.station,
        row.badge,
        row.device,
        row.body,
        row.body_version,
    )


def recorded(part: Replayed) -> Recorded:
    """The event that a row holds, in the newest shape. Raises Damaged for a body that is no event."""
    seq, occurred_at, recorded_at, read_id, station, badge, device, body, body_version = part
    try:
        event = lifted(body, body_version)
    except msgspec.MsgspecError as error:
        raise Damaged(f"row {seq}: its body is no event ({error}); restore the newest good backup") from error
    except (TypeError, ValueError, OverflowError) as error:  # SQLite takes a text for a number
        raise Damaged(f"row {seq}: its body cannot be read ({error}); restore the newest good backup") from error
    try:
        moments = moment(occurred_at), moment(recorded_at)
    except (TypeError, OverflowError) as error:
        raise Damaged(f"row {seq}: its moment is none ({error}); restore the newest good backup") from error
    return Recorded(
        seq=seq,
        occurred_at=moments[0],
        recorded_at=moments[1],
        event=event,
        station=station,
        badge=badge,
        device=device,
        read_id=read_id,
    )
