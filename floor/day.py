"""What the end of the shop's day does: whoever is still signed in is signed out.

Never waits: floor.timekeeper asks.
"""

from collections.abc import Iterator
from datetime import datetime

from floor.state import Floor, Station
from shared.events import Fact, SignedOut
from shared.shop import Shop


def sign_outs(floor: Floor, shop: Shop, now: datetime) -> list[Fact]:
    """Sign-outs of an earlier day's badges, at the end of the day on which they signed in."""
    return [fact for name, station in floor.stations.items() for fact in _sign_out(name, station, shop, now)]


def _sign_out(name: str, station: Station, shop: Shop, now: datetime) -> Iterator[Fact]:
    if hands := station.hands_at(now):
        badge, since = hands
        _, end = shop.hours.day_bounds(shop.hours.day_of(since))
        if end <= now:
            yield Fact(event=SignedOut(at_station=name), occurred_at=end, station=name, badge=badge)
