"""The running floor: reads come in, the rules decide, the ledger keeps, everyone who follows is told.

Never decides: it puts rules, ledger and state together, and answers only what is durable.
"""

import gc
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future
from contextlib import contextmanager
from datetime import datetime
from typing import Self, TypeVar

from floor.core.folds.fold import fold
from floor.core.orders.currency import check_currency
from floor.core.orders.jobs import Taken, take
from floor.core.plan.board import Board, board
from floor.core.rules import decide
from floor.core.state.floor import Floor
from floor.ledger import Ledger, LedgerError, Lookup, Writer
from floor.ledger.check import verified
from floor.service.recording import Recording
from floor.service.watching import Watcher
from shared.clock import Clock
from shared.events.base import Event
from shared.events.floor import ScannerFound, ScannerLost
from shared.events.recorded import Fact, Recorded, read_of
from shared.files.jobfile import JobFile
from shared.files.shop import Shop
from shared.scan import Answer, Scan

T = TypeVar("T")

NEWS_S = 1.0
"""How long the follower waits for news of the ledger before it looks whether it should end."""
UNRECORDED_MAX = 1_000
"""Minutes of a busy floor; of more, the oldest is forgotten, and decided anew if it is ever sent again."""


class Service:
    """A floor in memory, as new as its ledger. Safe to use from any thread between start and stop."""

    def __init__(self, shop: Shop, ledger: Ledger, clock: Clock, *, verify: bool = False) -> None:
        """With `verify`, every row is verified when it is replayed: starting may then raise Damaged.

        Starting raises OtherCurrency where the ledger has amounts in another currency than the shop file names.
        """
        self.shop = shop
        self.clock = clock
        self._ledger = ledger
        self._verify = verify
        self._floor = Floor()
        self._unrecorded: dict[tuple[str, str, str], Answer] = {}
        """Answers to reads that left no row: sent again after others, such a read would count as one more."""
        self.watcher = Watcher(ledger, shop, clock)
        """A second floor, for whoever looks long: the plan, the pages."""
        self.recording = Recording()
        """Whether reads can be recorded, as far as is known."""
        self._last_append: datetime | None = None
        self._writer = Writer(
            ledger, fold=self._fold, rebuild=self._rebuild, now=clock.now, committed=self.watcher.hand
        )
        self._followers: list[Callable[[], None]] = []
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._follow, name="ledger follower", daemon=True)

    def __enter__(self) -> Self:
        self._writer.start()
        try:
            self.record(self._set_prices)
        except BaseException:
            self._writer.stop()
            raise
        return self

    def __exit__(self, *_: object) -> None:
        self._stopping.set()
        if self._thread.ident is not None:
            self._thread.join(2 * NEWS_S)
        self._writer.stop()

    def _set_prices(self, floor: Floor) -> tuple[Sequence[Fact], None]:
        """The shop file is read once, when a floor starts: from then on its prices are in force.

        Where there is no job yet there is nothing to price, and an empty ledger stays empty.
        """
        check_currency(floor, self.shop.currency)
        return self._new_prices(floor) if floor.jobs else [], None

    def _new_prices(self, floor: Floor) -> Sequence[Fact]:
        return floor.prices.found(self.shop.price_list, self.clock.now())

    @property
    def ledger(self) -> Ledger:
        """The ledger, to be read and copied; what is to be recorded goes through `record`."""
        return self._ledger

    def scan(self, scan: Scan) -> Answer:
        """Decide on a read and record it; the answer comes when it is durable. The same read again is answered alike.

        Raises a LedgerError when it could not be recorded: send it again with the same read id.
        """
        return self.submit(scan).result()

    def submit(self, scan: Scan) -> "Future[Answer]":
        """As `scan`, without waiting for the answer. Raises Busy when too many reads wait already."""
        answer = self._writer.submit(lambda lookup: self._decide(scan, lookup), scan.read_id)
        answer.add_done_callback(self._note_failure)
        return answer

    def _note_failure(self, answer: "Future[Answer]") -> None:
        error = answer.exception()
        if error is not None:
            self.recording.failed(error)

    def prove(self) -> None:
        """Do all that recording a read takes, but add no row. Raises a LedgerError when it cannot be done."""
        try:
            self.record(lambda _floor: ((), None))
            self._ledger.rehearse()
        except LedgerError as error:
            self.recording.failed(error)
            raise
        self.recording.worked()

    def _decide(self, scan: Scan, lookup: Lookup) -> tuple[Sequence[Fact], Answer]:
        before = lookup.by_read_id(scan.read_id)
        if before is not None:
            return (), _answered_before(before, scan)
        read = (scan.read_id, scan.text, scan.device)
        if read in self._unrecorded:
            return (), self._unrecorded[read]
        decision = decide(self._floor, self.shop, scan)
        if not decision.facts:
            self._keep(read, decision.answer)
        return decision.facts, decision.answer

    def _keep(self, read: tuple[str, str, str], answer: Answer) -> None:
        self._unrecorded[read] = answer
        if len(self._unrecorded) > UNRECORDED_MAX:
            del self._unrecorded[next(iter(self._unrecorded))]

    def record(self, work: Callable[[Floor], tuple[Sequence[Fact], T]]) -> T:
        """Let `work` look at the floor and say what to record; its answer comes back when that is durable.

        Raises what `work` raises, then nothing was recorded, or a LedgerError.
        """
        return self._writer.submit(lambda _lookup: work(self._floor)).result()

    def take(self, order: JobFile) -> Taken:
        """Take a job: its quote is frozen, and every piece gets its code."""

        def work(floor: Floor) -> tuple[Sequence[Fact], Taken]:
            taken = take(floor, self.shop, order, self.clock.now())
            return (*self._new_prices(floor), *taken.facts), taken

        return self.record(work)

    def lose(self, scanner: str, why: str) -> None:
        """Record that a scanner is absent, unless that is known."""
        event = ScannerLost(scanner=scanner, why=why)
        self._notice(event, lambda floor: scanner not in floor.lost)

    def find(self, scanner: str) -> None:
        """Record that a scanner is there again, if it was absent."""
        self._notice(ScannerFound(scanner=scanner), lambda floor: scanner in floor.lost)

    def _notice(self, event: Event, is_news: Callable[[Floor], bool]) -> None:
        fact = Fact(event=event, occurred_at=self.clock.now())
        self.record(lambda floor: ([fact] if is_news(floor) else [], None))

    @contextmanager
    def reading(self) -> Iterator[Floor]:
        """The floor, standing still while it is held; only to be looked at, and not for long."""
        with self._writer.reading():
            yield self._floor

    def board(self, now: datetime | None = None) -> Board:
        """The board at a moment: the present one when none is given."""
        with self.watcher.looking() as floor:
            return board(floor, self.shop, now or self.clock.now())

    def follow(self, follower: Callable[[], None]) -> None:
        """Have a function called, on the follower's thread, whenever the ledger has grown, by whomever."""
        self._followers.append(follower)
        if self._thread.ident is None:
            self._thread.start()

    def _follow(self) -> None:
        seen = 0
        while not self._stopping.is_set():
            try:
                head = self._ledger.wait_for_news(seen, NEWS_S)
                if head <= seen:
                    continue
                self._catch_up(head)
            except Exception:  # noqa: BLE001 - a ledger that cannot be read just now is tried again
                self._stopping.wait(NEWS_S)
                continue
            seen = head
            for follower in self._followers:
                follower()

    def _catch_up(self, head: int) -> None:
        """Rows of other processes reach the state with the next work; with none to do, an empty one."""
        with self.reading() as floor:
            behind = floor.seq < head
        if behind:
            self.record(lambda _floor: ((), None))

    def last_append_age_s(self) -> float | None:
        """How long ago the ledger grew last, in seconds; None while it is empty."""
        last = self._last_append
        return None if last is None else max(0.0, (self.clock.now() - last).total_seconds())

    def _fold(self, rows: Iterable[Recorded]) -> None:
        for row in rows:
            fold(self._floor, row)
            self._last_append = row.recorded_at

    def _rebuild(self) -> int:
        self._floor = Floor()
        self._unrecorded.clear()  # an answer may rest on a row that could not be committed
        with _no_search_for_garbage():
            self._fold(verified(self._ledger) if self._verify else self._ledger.rows())
        return self._floor.seq


@contextmanager
def _no_search_for_garbage() -> Iterator[None]:
    """A replay makes what stays: to search it again and again while it grows takes a quarter of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


class ReadIdReused(Exception):
    """A read bears the id of another read: its sender is at fault, and nothing was recorded."""


def _answered_before(row: Recorded, scan: Scan) -> Answer:
    read = read_of(row.event)
    if read is None or scan.text[: len(read.text)] != read.text or row.device != scan.device:
        raise ReadIdReused(f"read {scan.read_id} was recorded with another text or from another scanner")
    return read.answer
