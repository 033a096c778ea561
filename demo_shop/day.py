"""A day in the demo shop: four pairs of hands, the machines, and the pieces that wait for them, played by simpy.

Never decides what a read means: hands read what they hold, and go by what they are told.
"""

from collections import Counter
from collections.abc import Callable, Generator, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random
from typing import Any

import simpy

from demo_shop.office import Cards
from demo_shop.play import Player
from demo_shop.racks import Carried, Racks
from floor.core.plan.board import Board
from shared.codes import CodeType
from shared.files.cards import SIGN_OUT
from shared.files.shop import Shop
from shared.route import Step
from shared.scan import Answer

HANDS = {
    "pretreat booth": "Ash",
    "printer 1": "Birch",
    "printer 2": "Birch",
    "press 1": "Cedar",
    "press 2": "Cedar",
    "inspection": "Damson",
    "packing": "Damson",
}
"""Who works where."""
CARE_AT = "printer 1"
CARE_S = 120
GLANCE_S = 240
"""How often somebody looks up at the wall."""

Doing = Generator[simpy.Event, Any, None]
Doings = Generator[simpy.Event, Any, Answer]


@dataclass(frozen=True, slots=True)
class StationVisit:
    """A piece at a station."""

    piece: Carried
    station: str

    @property
    def step(self) -> Step:
        """What is to be done."""
        return self.piece.step

    @property
    def code(self) -> str:
        """What its ticket reads as."""
        return self.piece.code


Occurrence = Callable[["Day", StationVisit], Doing]


class Day:
    """The day as it is played. `happenings` tells, by piece and step, where it goes otherwise than usual."""

    def __init__(self, player: Player, cards: Cards, print_remake: Callable[[str, str], Carried], seed: int) -> None:
        self.shop: Shop = player.service.shop
        self.cards = cards
        self.env = simpy.Environment()
        self.racks = Racks(self.env, self.shop)
        self.happenings: Mapping[tuple[str, str], Occurrence] = {}
        self.happened: Counter[Occurrence] = Counter()
        self.surprises: list[str] = []
        """Reads that were answered otherwise than the hands had reason to expect."""
        self.worked_s = 0.0
        """For how long hands really worked on pieces."""
        self._random = Random(seed)
        self._player = player
        self._print_remake = print_remake
        self._began = player.service.clock.now()
        self._hands = {badge: simpy.Resource(self.env) for badge in HANDS.values()}
        self._standing: dict[str, str] = {}
        """By roaming scanner: the station whose card it read last."""

    @property
    def now(self) -> datetime:
        """The moment in the shop."""
        return self._began + timedelta(seconds=self.env.now)

    # The day as a whole

    def bring(self, pieces: Iterable[Carried], at: datetime) -> None:
        """Have a job's blanks and tickets laid out at a moment."""
        pieces = list(pieces)
        self.racks.expect(len(pieces))
        self.env.process(self._lay_out(pieces, at))

    def _lay_out(self, pieces: Iterable[Carried], at: datetime) -> Doing:
        yield self._until(at)
        for piece in pieces:
            self.racks.lay_out(piece)

    def film(self, moments: Iterable[datetime], see: Callable[[Board], None]) -> None:
        """Show the board at moments to come; the day goes the same whether it is filmed or not."""
        self.env.process(self._film(moments, see))

    def _film(self, moments: Iterable[datetime], see: Callable[[Board], None]) -> Doing:
        for moment in moments:
            yield self._until(moment)
            self._player.pass_time(self.now)
            see(self._player.board())

    def play(self) -> None:
        """From opening until the last piece is packed and everybody has signed out."""
        for station in self.shop.stations:
            self.env.process(self._work_at(station))
        self.env.process(self._mind_the_wall())
        self.env.run(until=self.racks.all_done)
        self.env.run(until=self.env.process(self._sign_out()))

    def _until(self, moment: datetime) -> simpy.Event:
        return self.env.timeout((moment - self.now).total_seconds())

    def _work_at(self, station: str) -> Doing:
        yield from self._shop_open()
        yield from self.scan(station, self.cards[CodeType.BADGE, HANDS[station]])
        queue = self.racks.queue_at(station)
        while True:
            visit = StationVisit((yield queue.get()).item, station)
            if visit.step.wait_limit_s is None:  # what lies wet does not wait until lunch is over
                yield from self._shop_open()
            happening = self.happenings.get((visit.code, visit.step.label), Day.usual)
            self.happened[happening] += 1
            yield from happening(self, visit)

    def _shop_open(self) -> Doing:
        opens = self.shop.hours.next_open(self.now)
        if opens > self.now:
            yield self._until(opens)
            yield self.env.timeout(self._random.uniform(5, 60))

    def _sign_out(self) -> Doing:
        for station in self.shop.stations:
            yield from self.scan(station, self.cards[CodeType.COMMAND, SIGN_OUT])

    def _mind_the_wall(self) -> Doing:
        """Somebody looks up now and then, and does what the wall asks for."""
        while True:
            yield self.env.timeout(GLANCE_S)
            self._player.pass_time(self.now)
            for alarm in self._player.board().alarms:
                if alarm.kind == "care due":
                    yield from self._care(alarm.subject)
                elif alarm.kind == "wet too long":
                    self.racks.remember(alarm.subject)

    def _care(self, task: str) -> Doing:
        yield from self._shop_open()
        yield from self.touch(CARE_AT, CARE_S)
        yield from self.scan(CARE_AT, self.cards[CodeType.CARE, task])

    # A piece at a station

    def usual(self, visit: StationVisit) -> Doing:
        """Work, read the ticket, pass it on."""
        yield from self.work(visit)
        yield from self.scan(visit.station, visit.code)
        self.racks.go_on(visit.piece)

    def work(self, visit: StationVisit) -> Doing:
        """All that comes before the read that says the step is done."""
        step = visit.step
        yield from self.handle(visit)
        if step.is_press:
            yield from self.scan(visit.station, visit.code, expect="started")
            yield self.env.timeout(step.min_s + self._random.uniform(2, 20))
        else:
            yield self.env.timeout(step.machine_s * self._random.uniform(0.98, 1.05))

    def handle(self, visit: StationVisit) -> Doing:
        """Hands work on a piece."""
        took_s = yield from self.touch(visit.station, visit.step.touch_s)
        self.worked_s += took_s

    def touch(self, station: str, standard_s: float) -> Generator[simpy.Event, Any, float]:
        """Hands work, about as long as the standard says; for how long they did, seconds."""
        with self._hands[HANDS[station]].request() as free:
            yield free
            took_s = standard_s * self._random.triangular(0.8, 1.4, 1.0)
            yield self.env.timeout(took_s)
        return took_s

    def remake(self, told: Answer, job: str) -> None:
        """The remake that an answer names gets its ticket, and begins its walk."""
        if told.remake is None:
            self.surprises.append(f"{self.now}: no remake was opened: {told.say}")
            return
        self.racks.lay_out(self._print_remake(job, told.remake))

    # A read

    def scan(self, station: str, *codes: str, expect: str = "accepted", times: int = 1) -> Doings:
        """Hands take the scanner and read, the last code `times` times at once; the answer to its first read."""
        with self._hands[HANDS[station]].request() as free:
            yield free
            scanner = yield from self._scanner_for(station)
            for code in codes[:-1]:
                yield from self._pick_up()
                self._read(scanner, [code], ["accepted"])
            yield from self._pick_up()
            return self._read(scanner, [codes[-1]] * times, [expect, *["repeated"] * (times - 1)])

    def _pick_up(self) -> Doing:
        yield self.env.timeout(self._random.uniform(2.5, 5))

    def _scanner_for(self, station: str) -> Generator[simpy.Event, Any, str]:
        """The scanner that stands there; else the one that roams, which reads the station's card first."""
        there = {scanner.station: scanner.name for scanner in self.shop.file.scanners}
        if station in there:
            return there[station]
        roaming = there[None]
        if self._standing.get(roaming) != station:
            yield from self._pick_up()
            self._read(roaming, [self.cards[CodeType.STATION, station]], ["accepted"])
            self._standing[roaming] = station
        return roaming

    def _read(self, scanner: str, codes: list[str], expected: list[str]) -> Answer:
        answers = self._player.read(self.now, scanner, codes)
        told = [answer.reason or answer.outcome for answer in answers]
        if told != expected:
            self.surprises.append(f"{self.now}: {scanner}: expected {expected}, was told {told}: {answers[0].say}")
        return answers[0]
