"""What the end of the shop's day does: whoever is still signed in is signed out, and the ledger is backed up.

Never waits: floor.service.timekeeper asks.
"""

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from floor.core.state.floor import Floor
from floor.core.state.station import Station
from shared.events.floor import WorkDone
from shared.events.reads import SignedOut
from shared.events.recorded import Fact
from shared.files.shop import Shop

BACKUP = "backup"
"""The name of the task in the ledger."""


def sign_outs(floor: Floor, shop: Shop, now: datetime) -> list[Fact]:
    """Sign-outs of an earlier day's badges, at the end of the day on which they signed in."""
    return [fact for name, station in floor.stations.items() for fact in _sign_out(name, station, shop, now)]


def _sign_out(name: str, station: Station, shop: Shop, now: datetime) -> Iterator[Fact]:
    if hands := station.hands_at(now):
        badge, since = hands
        _, end = shop.hours.day_bounds(shop.hours.day_of(since))
        if end <= now:
            yield Fact(event=SignedOut(at_station=name), occurred_at=end, station=name, badge=badge)


def backup_due(floor: Floor, shop: Shop, now: datetime) -> date | None:
    """The last day whose work had ended by now, when the ledger has not been backed up for it; None when it has.

    After a downtime that is one day, not each that was missed: a backup holds the days before as well. A mark of a
    day that is still to come was made by a clock that was wrong, and does not count.
    """
    if not floor.seq:
        return None
    today = shop.hours.day_of(now)
    ended = next(day for day in _from(today) if shop.hours.closing(day) <= now)
    done = floor.worked.get(BACKUP, "")
    return None if ended.isoformat() <= done <= today.isoformat() else ended


def _from(day: date) -> Iterator[date]:
    """A day and those before it: work that lasts beyond midnight ends before the end of the day after."""
    return (day - timedelta(days=n) for n in range(3))


def backed_up(floor: Floor, day: date, now: datetime) -> list[Fact]:
    """That the ledger was backed up for a day, unless that is known."""
    period = day.isoformat()
    if floor.worked.get(BACKUP, "") >= period:
        return []
    return [Fact(event=WorkDone(task=BACKUP, period=period), occurred_at=now)]
