"""Listen to one scanner for as long as the floor runs: each whole read becomes a Scan, its answer goes back.

Never ends because of what a scanner, a driver or a callback does, and never decides what a read means.
"""

import contextlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from threading import Event, Thread
from typing import Protocol
from uuid import uuid4

from scanners.framing import Frame, Framer
from shared.clock import Clock
from shared.scan import Answer, Scan

BACK_OFF_S = (0.5, 1.0, 2.0, 4.0, 5.0)
"""How long to wait before each new try to open a wire; the last one for ever after."""

NOT_RECORDED = Answer(outcome="refused", say="Not recorded. Scan it again.")


class Wire(Protocol):
    """One connection to a scanner. Whatever is wrong with it is raised as OSError."""

    tick_s: float
    """How long `read` waits at most: also how long a listener may take to stop."""

    def read(self) -> bytes:
        """Bytes that came, or nothing if none came within a tick. Raises EOFError when no more can come."""
        ...

    def tell(self, answer: Answer) -> None:
        """Let the operator know how the read ended, if this wire can."""
        ...

    def close(self) -> None:
        """Let go of the device. Never raises."""
        ...


def _nothing(*_: object) -> None:
    pass


@dataclass(frozen=True, slots=True, kw_only=True)
class Callbacks:
    """What a listener calls, on its own thread.

    `handle` is the floor or a spool: it must have made the scan durable before it answers, and the next read
    waits until it has. `on_present(device)` and `on_absent(device, why)` come once for each change, the first
    time too. `on_trouble(device, error)` tells of what failed while the wire held: a scan that `handle` did
    not take, an answer that the scanner did not. What these three raise is swallowed: nobody is left to tell.
    """

    handle: Callable[[Scan], Answer]
    on_present: Callable[[str], None] = _nothing
    on_absent: Callable[[str, str], None] = _nothing
    on_trouble: Callable[[str, Exception], None] = _nothing


class Listener:
    """Opens a wire, again and again, and reads it on a thread that bears the scanner's name."""

    def __init__(
        self,
        device: str,
        open_wire: Callable[[], Wire],
        callbacks: Callbacks,
        clock: Clock,
        *,
        station: str | None = None,
        framer: Framer | None = None,
        back_off_s: Sequence[float] = BACK_OFF_S,
    ) -> None:
        self.device = device
        self._open_wire = open_wire
        self._callbacks = callbacks
        self._clock = clock
        self._station = station
        self._framer = framer or Framer()
        self._back_off_s = back_off_s
        self._failures = 0
        self._present: bool | None = None
        self._stopping = Event()
        self._thread = Thread(target=self._run, name=f"scanner {device}", daemon=True)

    def start(self) -> None:
        """Begin to listen. A listener is started once."""
        self._thread.start()

    def ask_to_stop(self) -> None:
        """Stop soon, without being waited for."""
        self._stopping.set()

    def stop(self, wait_s: float = 2.0) -> bool:
        """Stop listening; says whether the thread ended in that time. May be called twice, or unstarted."""
        self.ask_to_stop()
        if self._thread.ident is not None:
            self._thread.join(wait_s)
        return not self._thread.is_alive()

    def _run(self) -> None:
        while not self._stopping.is_set():
            try:
                with contextlib.closing(self._open_wire()) as wire:
                    self._listen(wire)
            except EOFError as error:
                self._lost(error)
                return
            except Exception as error:  # noqa: BLE001 - a driver may throw anything, and the scanner comes back
                self._lost(error)
            self._stopping.wait(self._pause_s())

    def _pause_s(self) -> float:
        return self._back_off_s[max(0, min(self._failures, len(self._back_off_s)) - 1)]

    def _listen(self, wire: Wire) -> None:
        quiet_s = 0.0
        while not self._stopping.is_set():
            chunk = self._read(wire)
            self._found()
            quiet_s = 0.0 if chunk else quiet_s + wire.tick_s
            for frame in self._framer.feed(chunk) if chunk else self._framer.idle(quiet_s):
                self._deliver(frame, wire)

    def _read(self, wire: Wire) -> bytes:
        try:
            return wire.read()
        except EOFError:
            for frame in self._framer.end():  # a file's last line may lack its end
                self._deliver(frame, wire)
            raise

    def _deliver(self, frame: Frame, wire: Wire) -> None:
        scan = Scan(
            read_id=uuid4().hex,
            text=frame.text,
            at=self._clock.now(),
            device=self.device,
            station=self._station,
        )
        answer = self._answer(scan)
        try:
            wire.tell(answer)
        except Exception as error:  # noqa: BLE001 - the reads behind this one must not be lost for an answer
            self._tell(self._callbacks.on_trouble, self.device, error)

    def _answer(self, scan: Scan) -> Answer:
        try:
            return self._callbacks.handle(scan)
        except Exception as error:  # noqa: BLE001 - one scan that fails must not silence the scanner
            self._tell(self._callbacks.on_trouble, self.device, error)
            return NOT_RECORDED

    def _found(self) -> None:
        """A wire is present once it has been read, not when it was opened: a dead one may open and fail."""
        self._failures = 0
        if self._present is not True:
            self._present = True
            self._tell(self._callbacks.on_present, self.device)

    def _lost(self, error: Exception) -> None:
        self._framer.drop()  # the other half of a frame will not come on another wire
        self._failures += 1
        if self._present is not False:
            self._present = False
            self._tell(self._callbacks.on_absent, self.device, str(error) or type(error).__name__)

    def _tell(self, callback: Callable[..., None], *what: object) -> None:
        with contextlib.suppress(Exception):
            callback(*what)


class Listeners:
    """All the scanners of a floor, started and stopped together."""

    def __init__(self, listeners: Sequence[Listener]) -> None:
        self._listeners = tuple(listeners)

    def start(self) -> None:
        """Start every one."""
        for listener in self._listeners:
            listener.start()

    def stop(self, wait_s: float = 2.0) -> list[str]:
        """Stop every one, and name the devices whose threads have not ended in that time."""
        for listener in self._listeners:
            listener.ask_to_stop()
        return [listener.device for listener in self._listeners if not listener.stop(wait_s)]
