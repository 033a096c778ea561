"""Who is where: the badges that read something in this shift, each at the station where it did so last.

Never says for how long anybody works: floor.core.times.hands does.
"""

from collections.abc import Iterator
from datetime import datetime

from msgspec import Struct

from floor.core.state.floor import Floor
from shared.events.reads import SignedOut
from shared.files.shop import Shop


class Present(Struct, frozen=True, kw_only=True):
    """A badge that is on the floor: a pair of hands is at one station at a time."""

    badge: str
    station: str
    since: datetime
    """When its first read was there, of those that no read elsewhere came between."""
    read: datetime
    """When its last read was."""


def present(floor: Floor, shop: Shop, now: datetime) -> list[Present]:
    """Every badge that has not signed out since its last read of this shift, by name."""
    return sorted(_present(floor, shop, now), key=lambda each: each.badge)


def _present(floor: Floor, shop: Shop, now: datetime) -> Iterator[Present]:
    starts, _ = shop.hours.shift_bounds(shop.hours.shift_of(now))
    for badge, rows in floor.reads.items():
        last = rows[-1]
        if not badge or last.station is None or last.occurred_at < starts or isinstance(last.event, SignedOut):
            continue
        since = last.occurred_at
        for row in reversed(rows):
            if row.station != last.station or row.occurred_at < starts or isinstance(row.event, SignedOut):
                break
            since = row.occurred_at
        yield Present(badge=badge, station=last.station, since=since, read=last.occurred_at)
