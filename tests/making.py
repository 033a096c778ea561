"""A shop, jobs and a floor for tests: small enough to be read at a glance, whole enough to be walked.

Never uses a device or a database: a `Play` folds what the rules decide.
"""

import tomllib
from collections.abc import Iterable
from copy import deepcopy
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from floor.core.folds.fold import fold
from floor.core.orders.jobs import cancel, hold, release, take
from floor.core.rules import Decision, decide
from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from shared.codes import CodeType, make, serial_of_name
from shared.events.base import Event
from shared.events.recorded import Fact, Recorded
from shared.files.jobfile import parse_job
from shared.files.shop import Shop, parse_shop
from shared.scan import Answer, Scan

NEW_SHOP = Path(__file__).parent.parent / "floor" / "cli" / "new_shop.toml"

MONDAY = datetime(2026, 11, 23, 14, 0, tzinfo=UTC)
"""Nine in the morning in New York, an hour after opening."""


@cache
def _new_shop() -> dict[str, Any]:
    return tomllib.loads(NEW_SHOP.read_text(encoding="utf-8"))


def shop_data(**tables: Any) -> dict[str, Any]:
    """The data of the shop file that `init` makes, with some tables changed."""
    return {**deepcopy(_new_shop()), **tables}


def shop_holding(pieces: object) -> Shop:
    """The new shop with a press that holds so many pieces; any number for None."""
    stations = shop_data()["stations"]
    [press] = (station for station in stations if station["name"] == "press 1")
    press["holds"] = pieces
    if pieces is None:
        del press["holds"]
    return parse_shop(shop_data(stations=stations))


def shop_assuming(step: str) -> Shop:
    """The new shop where a step that nobody scanned is taken as done."""
    steps = shop_data()["steps"]
    return parse_shop(shop_data(steps={**steps, step: {**steps[step], "if_missed": "assume"}}))


@cache
def shop() -> Shop:
    """The shop that `init` makes."""
    return parse_shop(shop_data())


@cache
def large_shop() -> Shop:
    """The same with a second printer and a second press."""
    second = [
        {"name": "printer 2", "steps": ["underlayer", "colour"], "machine_per_hour": "7.00"},
        {"name": "press 2", "steps": ["cure"], "machine_per_hour": "4.00"},
    ]
    return parse_shop(shop_data(stations=[*shop_data()["stations"], *second]))


def job_data(
    *,
    item: str = "heavy tee",
    colour: str = "navy",
    sizes: dict[str, int] | None = None,
    places: Iterable[str] = ("front",),
    price_each: str = "21.50",
    due: datetime = MONDAY + timedelta(days=4),
    ink: dict[str, str] | None = None,
) -> dict[str, Any]:
    """A job file's data: one line."""
    prints = [{"place": place, "width_mm": 305, "height_mm": 330, **(ink or {})} for place in places]
    line = {
        "design": "oars",
        "item": item,
        "colour": colour,
        "sizes": sizes or {"M": 1},
        "price_each": price_each,
        "prints": prints,
    }
    return {"customer": "Harbour rowing club", "due": due, "lines": [line]}


def card(type: CodeType, name: str) -> str:
    """The code on a card."""
    return make(type, serial_of_name(name))


class Play:
    """A floor in memory, to which reads are given."""

    def __init__(self, its_shop: Shop | None = None) -> None:
        self.shop = its_shop or shop()
        self.floor = Floor()
        self.rows: list[Recorded] = []
        self.now = MONDAY
        self.badge: str | None = None
        """Whose badge is read with every ticket."""
        self.reads = 0

    def job(self, **wishes: Any) -> list[str]:
        """Take a job; the codes of its pieces."""
        taken = take(self.floor, self.shop, parse_job(job_data(**wishes), self.shop), self.now)
        self.record(taken.facts)
        return list(taken.pieces)

    def hold(self, job: str = "J0001", why: str = "") -> None:
        """Stop work on a job."""
        self.record([hold(self.floor, job, why, self.now)])

    def release(self, job: str = "J0001") -> None:
        """Go on with it."""
        self.record([release(self.floor, job, self.now)])

    def cancel(self, job: str = "J0001", why: str = "") -> None:
        """Give it up."""
        self.record([cancel(self.floor, job, why, self.now)])

    def happens(self, event: Event) -> None:
        """Something that no read causes, now."""
        self.record([Fact(event=event, occurred_at=self.now)])

    def record(self, facts: Iterable[Fact]) -> None:
        """Facts become rows, and the floor follows."""
        for fact in facts:
            row = Recorded(
                seq=len(self.rows) + 1,
                occurred_at=fact.occurred_at,
                recorded_at=self.now,
                event=fact.event,
                station=fact.station,
                badge=fact.badge,
                device=fact.device,
                read_id=fact.read_id,
            )
            self.rows.append(row)
            fold(self.floor, row)

    def decide(
        self,
        code: str,
        station: str | None,
        *,
        device: str | None = None,
        at: datetime | None = None,
        badge: str | None = None,
        typed: bool = False,
    ) -> Decision:
        """What a read would lead to."""
        self.reads += 1
        scan = Scan(
            read_id=f"read {self.reads}",
            text=code,
            at=at or self.now,
            device=device or f"gun {station}",
            station=station,
            badge=badge or self.badge,
            typed=typed,
        )
        return decide(self.floor, self.shop, scan)

    def scan(
        self,
        code: str,
        station: str | None,
        *,
        after_s: float = 60,
        device: str | None = None,
        at: datetime | None = None,
        badge: str | None = None,
        typed: bool = False,
    ) -> Answer:
        """A read, some time after the one before, or at a moment; what it leads to is recorded."""
        self.now += timedelta(seconds=0 if at else after_s)
        decision = self.decide(code, station, device=device, at=at, badge=badge, typed=typed)
        self.record(decision.facts)
        return decision.answer

    def spoil(self, code: str, station: str, reason: str = "stain", *, after_s: float = 5) -> Answer:
        """A reason card, and at once the piece."""
        self.scan(card(CodeType.REASON, reason), station, after_s=after_s)
        return self.scan(code, station, after_s=0)

    def piece(self, code: str) -> Piece:
        """A piece as the floor knows it."""
        return self.floor.pieces[code]


DARK_WALK = (
    ("pretreat booth", 90),
    ("printer 1", 150),
    ("inspection", 15),
    ("printer 1", 140),
    ("press 1", 20),
    ("press 1", 180),
    ("packing", 20),
)
"""Where a dark garment is read, and how long after the read before, at the standard."""

LIGHT_WALK = (("printer 1", 95), ("press 1", 20), ("press 1", 60), ("packing", 20))
"""The same for a light garment."""


def walk(play: Play, code: str, stops: Iterable[tuple[str, float]] = DARK_WALK) -> Answer:
    """Walk one piece; the last answer."""
    answer = None
    for station, after_s in stops:
        answer = play.scan(code, station, after_s=after_s)
    assert answer is not None, "a walk has at least one stop"
    return answer
