"""A shop's day from one seed: pieces walk, hands scan, and things go wrong between the scanner and the floor.

Never uses a thread of its own, a device or the computer's clock: the same seed gives the same day.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random

from floor.core.state.piece import Piece
from floor.ledger import MemoryLedger
from floor.service.service import Service
from floor.service.timekeeper import Timekeeper
from scanners.framing import Framer
from shared.clock import SetClock
from shared.codes import CodeType
from shared.files.jobfile import parse_job
from shared.scan import Answer, Scan
from tests.making import MONDAY, card, job_data, shop
from tests.simulation.checker import check

DAY_S = 9 * 3600


@dataclass
class Sent:
    """A read on its way: it keeps its id however often it is delivered."""

    scan: Scan
    copies: int
    arrives: datetime


class World:
    """The shop, its floor, and what a test must remember about both."""

    def __init__(self, seed: int) -> None:
        self.random = Random(seed)
        self.shop = shop()
        self.clock = SetClock(MONDAY)
        self.ledger = MemoryLedger()
        self.service = self._open()
        self.true_time = MONDAY
        self.clock_off = timedelta(0)
        self.acked: set[str] = set()
        self.quiet: set[str] = set()
        self.answers: dict[str, Answer] = {}
        self.on_the_way: list[Sent] = []
        self.number = 0

    def _open(self) -> Service:
        service = Service(self.shop, self.ledger, self.clock)
        service.__enter__()
        return service

    def play(self, pieces_max: int = 8) -> None:
        """A day: jobs are taken, pieces are scanned along, the nemesis strikes; then everything is checked."""
        self._take_jobs(pieces_max)
        for _ in range(self.random.randrange(30, 90)):
            self.true_time += timedelta(seconds=self.random.expovariate(1 / 60))
            self._set_clock()
            self.random.choices(
                (self._hands_scan, self._any_read, self._clock_is_set, self._restart, self._look),
                weights=(60, 15, 4, 3, 8),
            )[0]()
            self._deliver(everything=False)
        self._deliver(everything=True)
        self._look()
        self.verify()
        self.close()

    def verify(self) -> None:
        """What must hold, and: what is answered twice is answered alike."""
        with self.service.reading() as floor:
            check(self.acked, set(), self.ledger.rows(), floor, self.quiet)

    def close(self) -> None:
        """The floor closes."""
        self.service.__exit__()

    # What the shop does

    def _take_jobs(self, pieces_max: int) -> None:
        for wishes in (
            {"sizes": {"M": self.random.randrange(1, pieces_max)}},
            {"colour": "white", "sizes": {"L": self.random.randrange(1, pieces_max)}},
            {"sizes": {"S": 2}, "places": ("front", "back")},
        ):
            self.service.take(parse_job(job_data(**wishes), self.shop))

    def _hands_scan(self) -> None:
        """Mostly the right read at the right place; sometimes too early, sometimes the next place over."""
        with self.service.reading() as floor:
            pieces = list(floor.open.values())
        if not pieces:
            return self._any_read()
        piece = self.random.choice(pieces)
        self._read(piece.code, self._place_for(piece))
        return None

    def _place_for(self, piece: Piece) -> str:
        if piece.in_work and self.random.random() < 0.8:
            self.true_time += timedelta(seconds=self.random.uniform(100, 260))
            self._set_clock()
            return piece.walk[piece.position].station or "press 1"
        ahead = piece.route[piece.position : piece.position + 2] or piece.route
        step = ahead[0] if self.random.random() < 0.85 else ahead[-1]
        return self.shop.stations_for(step.key)[0]

    def _any_read(self) -> None:
        """Cards, wrong codes, noise."""
        station = self.random.choice(list(self.shop.stations))
        text = self.random.choice(
            (
                card(CodeType.REASON, "banding"),
                card(CodeType.COMMAND, "undo"),
                card(CodeType.COMMAND, "sign out"),
                card(CodeType.COMMAND, "station down"),
                card(CodeType.COMMAND, "station up"),
                card(CodeType.BADGE, "A"),
                card(CodeType.CARE, "nozzle check"),
                card(CodeType.STATION, "press 1"),
                "1000000138",
                "\x1b[2J",
                "0",
                "1" * 70,
            )
        )
        self._read(text, None if self.random.random() < 0.1 else station)

    def _look(self) -> None:
        """What the timekeeper does at a deadline; doing it again does nothing more."""
        keeper = Timekeeper(self.service)
        keeper.look()
        head = self.ledger.head()
        keeper.look()
        assert self.ledger.head() == head, "looking twice at one moment recorded something twice"

    # What the nemesis does

    def _clock_is_set(self) -> None:
        self.clock_off = timedelta(seconds=self.random.choice((-3600, -5, 0, 0, 7, 3600)))
        self._set_clock()

    def _set_clock(self) -> None:
        self.clock.set(self.true_time + self.clock_off)

    def _restart(self) -> None:
        """The floor goes down and comes up: what it knows must come from the ledger alone."""
        self.service.__exit__()
        self.service = self._open()

    def _read(self, text: str, station: str | None) -> None:
        """A read leaves the scanner, in pieces; it may be cut off, sent more than once, or late."""
        for frame in self._frames(text):
            self.number += 1
            scan = Scan(
                read_id=f"read {self.number}",
                text=frame,
                at=self.clock.now(),
                device=f"gun at {station}",
                station=station,
            )
            late_s = self.random.choice((0, 0, 0, 0, 1, 30, 600))
            copies = self.random.choice((1, 1, 1, 2, 3))
            self.on_the_way.append(Sent(scan, copies, self.true_time + timedelta(seconds=late_s)))

    def _frames(self, text: str) -> Iterator[str]:
        data = text.encode() + b"\r\n"
        cut = self.random.randrange(len(data))
        framer = Framer()
        if self.random.random() < 0.03:  # unplugged in the middle: half a read is no read
            framer.feed(data[:cut])
            framer.drop()
            return
        for part in (data[:cut], data[cut:]):
            yield from (frame.text for frame in framer.feed(part))

    def _deliver(self, *, everything: bool) -> None:
        due = [sent for sent in self.on_the_way if everything or sent.arrives <= self.true_time]
        self.on_the_way = [sent for sent in self.on_the_way if sent not in due]
        self.random.shuffle(due)
        for sent in due:
            for _ in range(sent.copies):
                self._deliver_once(sent.scan)

    def _deliver_once(self, scan: Scan) -> None:
        before = self.ledger.head()
        answer = self.service.scan(scan)
        if scan.read_id in self.answers and scan.read_id not in self.quiet:
            assert answer == self.answers[scan.read_id], "the same read was answered in two ways"
            assert self.ledger.head() == before, "the same read was recorded twice"
        self.answers[scan.read_id] = answer
        self.acked.add(scan.read_id)
        if self.ledger.head() == before and self.ledger.by_read_id(scan.read_id) is None:
            self.quiet.add(scan.read_id)
