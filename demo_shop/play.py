"""The floor of the demo: real listeners on virtual scanners, a clock that is set, and a timekeeper that is asked.

Never sleeps: every answer is waited for, and time passes only when it is told to.
"""

from collections.abc import Sequence
from contextlib import ExitStack
from datetime import datetime
from queue import Empty, Queue
from typing import Self, TypeVar

from msgspec import Struct

from demo_shop.promises import NotAsPromised
from demo_shop.wires import plug_in
from floor.core.plan.board import Board
from floor.service.service import Service
from floor.service.timekeeper import Timekeeper
from scanners.devices import open_listener
from scanners.listener import Callbacks, Listener, Listeners
from shared.clock import SetClock
from shared.files.shopfile import Scanner
from shared.scan import Answer, Scan

T = TypeVar("T")

ANSWER_WITHIN_S = 20.0
"""How long a busy machine may take to answer a read, in real seconds."""


class Heard(Struct, frozen=True):
    """A read that came through, and how it was answered."""

    scan: Scan
    answer: Answer


class Player:
    """Types on the virtual scanners and waits for the answers. Used as a context: listeners run inside it."""

    def __init__(self, service: Service, clock: SetClock) -> None:
        self.service = service
        self.heard: list[Heard] = []
        """Every read of the day, in order."""
        self._clock = clock
        self._timekeeper = Timekeeper(service)
        self._deadline = self._timekeeper.look()
        self._came: Queue[Heard | str] = Queue()
        self._until_closed = ExitStack()

    def __enter__(self) -> Self:
        with ExitStack() as opened:
            shop = self.service.shop.file
            self._scanners = plug_in(shop.scanners)
            for scanner in self._scanners.values():
                opened.callback(scanner.unplug)
            there: Queue[str] = Queue()
            listeners = Listeners([self._listener(scanner, there) for scanner in shop.scanners])
            opened.callback(listeners.stop)
            listeners.start()
            for _ in shop.scanners:
                _within_reason(there, "a virtual scanner was not found by its listener")
            self._until_closed = opened.pop_all()
        return self

    def __exit__(self, *_: object) -> None:
        self._until_closed.close()

    def _listener(self, scanner: Scanner, there: Queue[str]) -> Listener:
        plugged = scanner.model_copy(update={"port": self._scanners[scanner.name].port})
        callbacks = Callbacks(
            handle=self._handle,
            on_present=there.put,
            on_trouble=lambda device, error: self._came.put(f"{device}: not recorded: {error}"),
        )
        return open_listener(plugged, callbacks, self._clock)

    def _handle(self, scan: Scan) -> Answer:
        answer = self.service.scan(scan)
        self._came.put(Heard(scan, answer))
        return answer

    def pass_time(self, until: datetime) -> None:
        """Let time pass; at each deadline on the way the timekeeper looks, as it would by itself."""
        while self._deadline is not None and self._deadline <= until:
            self._clock.set(self._deadline)
            self._deadline = self._timekeeper.look()
        self._clock.set(until)

    def read(self, at: datetime, scanner: str, codes: Sequence[str]) -> list[Answer]:
        """Have a scanner read codes at a moment; the answer to each. Raises NotAsPromised when none comes."""
        self.pass_time(at)
        self._scanners[scanner].type(codes)
        answers = [self._answer(scanner) for _ in codes]
        self._deadline = self._timekeeper.look()
        return answers

    def _answer(self, scanner: str) -> Answer:
        came = _within_reason(self._came, f"{scanner}: no answer")
        if isinstance(came, str):
            raise NotAsPromised(came)
        if came.scan.device != scanner:
            raise NotAsPromised(f"{scanner} was typed on, and {came.scan.device} was heard")
        self.heard.append(came)
        return came.answer

    def board(self) -> Board:
        """The board as it is now."""
        return self.service.board()


def _within_reason(queue: Queue[T], otherwise: str) -> T:
    """What comes next. Raises NotAsPromised when nothing comes."""
    try:
        return queue.get(timeout=ANSWER_WITHIN_S)
    except Empty:
        raise NotAsPromised(f"{otherwise} within {ANSWER_WITHIN_S:g} s") from None
