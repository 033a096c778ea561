"""Shops whose truth is known: people who work, walk, rest and scan, played by simpy, an independent simulator.

Never asks the product for a time: what hands and machines really did is written down as they do it.
"""

from collections import defaultdict
from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from random import Random
from typing import Any

import simpy
from simpy import Event

from shared.files.shop import Shop, parse_shop
from tests.making import MONDAY, Play, shop_data

DAY_S = 86_400.0
OPENS_S, LUNCH_S, LUNCH_ENDS_S, CLOSES_S = -3_600.0, 10_800.0, 12_600.0, 28_800.0
"""Of each day, seconds since nine in the morning: open 8 to 12 and 12:30 to 17."""
STATION_OF = {"pretreat": "booth", "underlayer": "printer", "inspect": "inspection", "colour": "printer"} | {
    "cure": "press",
    "pack": "packing",
}
STEPS = ("pretreat", "underlayer", "inspect", "colour", "cure", "pack")
TOUCH_S = {"pretreat": 90.0, "underlayer": 30.0, "inspect": 15.0, "colour": 20.0, "cure": 20.0, "pack": 20.0}
RUNS_S = {"underlayer": 120.0, "colour": 120.0, "cure": 180.0}
"""What hands and machines really take, on average."""


@dataclass(kw_only=True)
class Plan:
    """How a shop works and scans."""

    people: Sequence[tuple[str, Sequence[str]]]
    """Each badge with the steps it does."""
    pieces: int = 60
    batch: int = 1
    """Pieces done by hand side by side, and read one after the other when the last is done."""
    in_out: bool = False
    forgotten: float = 0.0
    """A share of the reads of pretreating that nobody takes."""
    signed_in: bool = True
    pause_share: float = 0.0
    """A share of the works by hand that are followed by a pause of minutes."""
    overtime_s: float = 0.0
    pace_s: float = 0.0
    """Pieces come on the line one by one, so many seconds apart; all at once if 0."""
    spread: float = 0.25
    """Of what hands take: standard deviation by mean."""
    machine_spread: float = 0.1
    """The same of a printer, which varies less."""


@dataclass
class Truth:
    """Seconds that were really worked, by step."""

    hands_s: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    machine_s: dict[str, float] = field(default_factory=lambda: defaultdict(float))


@dataclass(order=True)
class Reading:
    """A ticket that is read: when, seconds, its piece, where, whose badge."""

    at_s: float
    serial: int
    piece: int = field(compare=False)
    station: str = field(compare=False)
    badge: str | None = field(compare=False)


class Shopfloor:
    """One run: `readings` and `truth` are what comes of it."""

    def __init__(self, plan: Plan, seed: int) -> None:
        self.plan = plan
        self.random = Random(seed)
        self.env = simpy.Environment()
        self.truth = Truth()
        self.readings: list[Reading] = []
        self._waiting: dict[str, list[int]] = {step: [] for step in STEPS}
        self._machines: dict[str, str | None] = dict.fromkeys(("printer 1", "printer 2", "press 1", "press 2"))
        self._ready: dict[str, tuple[str, int]] = {}
        """By machine: the step and the piece that it has done with."""
        self._closed: dict[str, float] = {}
        """By press: since when a piece is in it."""
        self._left = plan.pieces
        self._changed = self.env.event()

    def run(self) -> "Shopfloor":
        """Until every piece is packed."""
        self.env.process(self._arrive())
        for badge, steps in self.plan.people:
            self.env.process(self._person(badge, steps))
        self.env.run()
        self.readings.sort()
        return self

    # What happens

    def _arrive(self) -> Generator[Event, Any, Any]:
        for piece in range(self.plan.pieces):
            self._put("pretreat", piece)
            yield self.env.timeout(self.plan.pace_s)

    def _put(self, step: str, piece: int) -> None:
        self._waiting[step].append(piece)
        self._tell()

    def _tell(self) -> None:
        self._changed.succeed()
        self._changed = self.env.event()

    def _takes_s(self, mean_s: float, spread: float) -> float:
        shape = 1 / spread**2
        return self.random.gammavariate(shape, mean_s / shape)

    def _person(self, badge: str, steps: Sequence[str]) -> Generator[Event, Any, Any]:
        while self._left:
            yield self.env.timeout(self._until_open_s())
            work = self._next(badge, steps)
            if work is None:
                yield self._changed
                continue
            yield from work
            yield self.env.timeout(self.random.expovariate(1.0))
            if self.random.random() < self.plan.pause_share:
                yield self.env.timeout(self.random.uniform(200, 1_200))

    def _until_open_s(self) -> float:
        day_s = self.env.now % DAY_S
        if LUNCH_S <= day_s < LUNCH_ENDS_S:
            return LUNCH_ENDS_S - day_s
        closes_s = CLOSES_S + self.plan.overtime_s
        return DAY_S + OPENS_S - day_s if closes_s <= day_s < DAY_S + OPENS_S else 0.0

    def _next(self, badge: str, steps: Sequence[str]) -> Generator[Event, Any, Any] | None:
        """The furthest along first: take off, pack, load, and only then begin another piece."""
        for machine, (step, piece) in sorted(self._ready.items()):
            if step in steps:
                del self._ready[machine]
                return self._take_off(badge, machine, step, piece)
        for step in reversed(STEPS):
            if step not in steps or not self._waiting[step]:
                continue
            if step not in RUNS_S:
                return self._by_hand(badge, step)
            free = [
                name for name, inside in self._machines.items() if inside is None and name.startswith(STATION_OF[step])
            ]
            if free:
                return self._load(badge, free[0], step)
        return None

    def _by_hand(self, badge: str, step: str) -> Generator[Event, Any, Any]:
        batch = self._waiting[step][: self.plan.batch]
        del self._waiting[step][: self.plan.batch]
        for piece in batch:
            if self.plan.in_out:
                yield from self._read(badge, step, piece, STATION_OF[step])
            took_s = self._takes_s(TOUCH_S[step], self.plan.spread)
            self.truth.hands_s[step] += took_s
            yield self.env.timeout(took_s)
            if self.plan.batch == 1:
                yield from self._read(badge, step, piece, STATION_OF[step])
                self._on(step, piece)
        if self.plan.batch > 1:
            for piece in batch:
                yield from self._read(badge, step, piece, STATION_OF[step])
                self._on(step, piece)
                yield self.env.timeout(1.5)

    def _load(self, badge: str, machine: str, step: str) -> Generator[Event, Any, Any]:
        piece = self._waiting[step].pop(0)
        self._machines[machine] = step
        yield from self._touch(step, 2 / 3)
        if step == "cure" or self.plan.in_out:
            yield from self._read(badge, step, piece, machine)
        self.env.process(self._machine(machine, step, piece))

    def _machine(self, machine: str, step: str, piece: int) -> Generator[Event, Any, Any]:
        if step == "cure":
            self._closed[machine] = self.env.now
            yield self.env.timeout(RUNS_S[step])
        else:
            runs_s = self._takes_s(RUNS_S[step], self.plan.machine_spread)
            self.truth.machine_s[step] += runs_s
            yield self.env.timeout(runs_s)
        self._ready[machine] = (step, piece)
        self._tell()

    def _take_off(self, badge: str, machine: str, step: str, piece: int) -> Generator[Event, Any, Any]:
        yield from self._touch(step, 1 / 3)
        yield from self._read(badge, step, piece, machine)
        if step == "cure":
            self.truth.machine_s[step] += self._kept_s(self.env.now - self._closed.pop(machine))
        self._machines[machine] = None
        self._on(step, piece)

    @staticmethod
    def _kept_s(closed_s: float) -> float:
        """A press is in use until it is opened; one that is forgotten, over lunch or a night, only for its dwell."""
        return closed_s if closed_s <= 3 * RUNS_S["cure"] else RUNS_S["cure"]

    def _touch(self, step: str, share: float) -> Generator[Event, Any, Any]:
        took_s = self._takes_s(TOUCH_S[step] * share, self.plan.spread)
        self.truth.hands_s[step] += took_s
        yield self.env.timeout(took_s)

    def _read(self, badge: str, step: str, piece: int, station: str) -> Generator[Event, Any, Any]:
        if step == "pretreat" and self.random.random() < self.plan.forgotten:
            return
        whose = badge if self.plan.signed_in else None
        self.readings.append(Reading(self.env.now, len(self.readings), piece, station, whose))
        yield self.env.timeout(0.001)

    def _on(self, step: str, piece: int) -> None:
        after = STEPS.index(step) + 1
        if after == len(STEPS):
            self._left -= 1
            self._tell()
        else:
            self._put(STEPS[after], piece)


def shop_for(plan: Plan, wrong: Callable[[str], float] = lambda step: 1.0) -> Shop:
    """Such a shop; its standards are the truth times a factor by step."""
    return parse_shop(shop_tables(plan, wrong))


def shop_tables(plan: Plan, wrong: Callable[[str], float] = lambda step: 1.0) -> dict[str, Any]:
    """Its shop file, as plain data."""
    steps = shop_data()["steps"]
    for key in STEPS:
        steps[key]["touch_s"] = TOUCH_S[key] * wrong(key)
        if key in ("underlayer", "colour"):
            steps[key]["machine_s"] = RUNS_S[key] * wrong(key)
        if plan.in_out:
            steps[key]["scans"] = "in_out"
    badges = sorted({badge for badge, _ in plan.people})
    stations = [
        {"name": "booth", "steps": ["pretreat"]},
        {"name": "printer 1", "steps": ["underlayer", "colour"], "machine_per_hour": "7.00"},
        {"name": "printer 2", "steps": ["underlayer", "colour"], "machine_per_hour": "7.00"},
        {"name": "inspection", "steps": ["inspect"]},
        {"name": "press 1", "steps": ["cure"], "machine_per_hour": "4.00"},
        {"name": "press 2", "steps": ["cure"], "machine_per_hour": "4.00"},
        {"name": "packing", "steps": ["pack"]},
    ]
    return shop_data(steps=steps, stations=stations, badges=[{"name": name} for name in badges])


def recorded(floor: Shopfloor, shop: Shop, last: str = "") -> Play:
    """The floor of the product after all reads of a run; those of one station may arrive last."""
    play = Play(shop)
    play.now = MONDAY
    codes = play.job(sizes={"M": floor.plan.pieces}, due=MONDAY + timedelta(days=30))
    for read in sorted(floor.readings, key=lambda read: read.station == last):
        play.now = MONDAY + timedelta(seconds=round(read.at_s, 3))
        answer = play.scan(codes[read.piece], read.station, at=play.now, badge=read.badge)
        assert answer.outcome in ("accepted", "started"), answer.say
    return play
