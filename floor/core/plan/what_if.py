"""The same floor in another shop: with one press more, a pair of hands less, other hours.

Never changes the shop file.
"""

from collections import defaultdict
from collections.abc import Collection, Mapping
from datetime import datetime
from decimal import Decimal

from msgspec import Struct

from floor.core.cost.quantities import hours as hours_of
from floor.core.plan.forecast import late
from floor.core.plan.outlook import Outlook, outlook
from floor.core.plan.stopped import stopped
from floor.core.state.floor import Floor
from shared.files.shop import Shop
from shared.files.shopfile import Badge, HoursTable, ShopFile, StationTable
from shared.money import rounded


class WhatIf(Struct, frozen=True, kw_only=True):
    """What would be otherwise: so many presses, printers and hands more (or fewer), and other openings of some days."""

    presses: int = 0
    printers: int = 0
    hands: int = 0
    openings: Mapping[str, list[str]] = {}


class Then(Struct, frozen=True, kw_only=True):
    """What would come of the jobs that are not held: when each is finished, which are late, what holds the rest up."""

    finishes: Mapping[str, datetime | None]
    late: tuple[str, ...]
    all_done: datetime | None
    """None where nothing is to be done, or not all of it can be."""
    stopped: tuple[str, ...]
    """The steps that keep jobs from being finished: no station for them works."""
    bottleneck: str | None
    """The station that is at work for most of the time until all is done; None where that is at no time."""
    busy: float | None
    """For what share of that time it is."""
    cost_per_piece: Decimal | None
    """Hands and machines, paid in the opening hours until all is done, by piece."""


def changed(shop: Shop, change: WhatIf) -> Shop:
    """The shop with a change. Raises ValueError for one that leaves nothing of a kind, or hours that are none."""
    file = shop.file
    stations = _stations(file.stations, change.presses, [s for s in file.stations if s.name in shop.presses], "press")
    stations = _stations(stations, change.printers, [s for s in file.stations if _prints(file, s)], "printer")
    badges = _badges(file.badges, change.hands)
    updated = {"stations": stations, "badges": badges, "hours": _hours(file.hours, change.openings)}
    return Shop(file.model_copy(update=updated))


def _prints(file: ShopFile, station: StationTable) -> bool:
    return any(file.steps[step].has_machine and not file.steps[step].is_press for step in station.steps)


def _stations(stations: list[StationTable], more: int, alike: list[StationTable], what: str) -> list[StationTable]:
    if more and len(alike) + more < 1:
        raise ValueError(f"The shop has {len(alike)} of the kind {what!r}; at least one must be left.")
    gone = {station.name for station in alike[len(alike) + more :]} if more < 0 else set()
    kept = [station for station in stations if station.name not in gone]
    return kept + [alike[0].model_copy(update={"name": f"another {what} {n}"}) for n in range(1, more + 1)]


def _badges(badges: list[Badge], more: int) -> list[Badge]:
    if more and not badges:
        raise ValueError("The shop file has no badges, so the plan counts on as many hands as are needed.")
    if len(badges) + more < 1 and badges:
        raise ValueError(f"The shop has {len(badges)} pairs of hands; at least one must be left.")
    return badges[: len(badges) + min(more, 0)] + [Badge(name=f"another {n}") for n in range(1, more + 1)]


def _hours(table: HoursTable | None, openings: Mapping[str, list[str]]) -> HoursTable | None:
    if not openings:
        return table
    if table is None:
        raise ValueError("The shop file has no [hours], so the shop is always open.")
    return HoursTable.model_validate({**table.model_dump(), **openings})


def then(floor: Floor, shop: Shop, now: datetime) -> Then:
    """What comes of a floor in a shop."""
    ahead = outlook(floor, shop, now)
    finishes = ahead.finishes()
    ends = [finish for finish in finishes.values() if finish is not None]
    all_done = max(ends, default=None) if len(ends) == len(finishes) else None
    paid_s = shop.hours.working(now, all_done).total_seconds() if all_done else 0.0
    bottleneck, busy = _bottleneck(ahead, finishes, paid_s)
    return Then(
        finishes=finishes,
        late=tuple(job for job, finish in finishes.items() if late(floor, floor.jobs[job], finish, now)),
        all_done=all_done,
        stopped=_stopped(floor, shop, finishes),
        bottleneck=bottleneck,
        busy=busy,
        cost_per_piece=_cost(floor, shop, finishes, paid_s),
    )


def _stopped(floor: Floor, shop: Shop, finishes: Mapping[str, datetime | None]) -> tuple[str, ...]:
    """The steps that nobody can do, of those before the pieces of jobs without a finish."""
    stuck = {job for job, finish in finishes.items() if finish is None}
    pieces = [piece for piece in floor.open.values() if piece.job in stuck]
    before = {step.key for piece in pieces for step in piece.route[piece.position + piece.in_work :]}
    return tuple(sorted(before & stopped(floor, shop)))


def _bottleneck(ahead: Outlook, jobs: Collection[str], whole_s: float) -> tuple[str | None, float | None]:
    """Of the work on these jobs, which is all done within that time; wet ink of a held job may take longer."""
    busy_s: dict[str, float] = defaultdict(float)
    for piece, stays in ahead.stays():
        for stay in stays:
            if stay.station is not None and piece.job in jobs:
                busy_s[ahead.stations[stay.station]] += stay.ends_s - stay.starts_s
    if not busy_s or not whole_s:
        return None, None
    name = max(busy_s, key=lambda station: busy_s[station])
    return name, busy_s[name] / whole_s


def _cost(floor: Floor, shop: Shop, jobs: Collection[str], paid_s: float) -> Decimal | None:
    per_hour = shop.price_list.opening_hour(shop.badges)
    pieces = sum(piece.job in jobs for piece in floor.open.values())
    return rounded(hours_of(paid_s) * per_hour / pieces, shop.unit) if paid_s else None
