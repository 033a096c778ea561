"""Virtual scanners and a bench that takes what listeners say."""

import contextlib
import os
import pty
import select
import termios
import tty
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from queue import Empty, Queue

from scanners.listener import Callbacks
from shared.clock import SetClock
from shared.scan import Answer, Scan
from tests.measured import WAIT_S

NOON = datetime(2026, 11, 27, 12, 0, tzinfo=UTC)
ACCEPTED = Answer(outcome="accepted", say="Next: cure")
REFUSED = Answer(outcome="refused", say="Not a code", reason="not-a-code")


class Bench:
    """Stands where the floor would: every scan and every notice lands in a queue."""

    def __init__(self, answer: Callable[[Scan], Answer] = lambda scan: ACCEPTED) -> None:
        self.clock = SetClock(NOON)
        self.scans: Queue[Scan] = Queue()
        self.notices: Queue[tuple[str, str]] = Queue()
        self._answer = answer
        self.callbacks = Callbacks(
            handle=self._handle,
            on_present=lambda device: self.notices.put(("present", device)),
            on_absent=lambda device, why: self.notices.put(("absent", why)),
            on_trouble=lambda device, error: self.notices.put(("trouble", str(error))),
        )

    def _handle(self, scan: Scan) -> Answer:
        answer = self._answer(scan)
        self.scans.put(scan)
        return answer

    def scan(self) -> Scan:
        """The next scan; fails if none comes."""
        return self.scans.get(timeout=WAIT_S)

    def text(self) -> str:
        """The next scan's text."""
        return self.scan().text

    def notice(self) -> tuple[str, str]:
        """The next notice: its kind, and the device or what was said."""
        return self.notices.get(timeout=WAIT_S)

    def wait_for(self, kind: str) -> str:
        """What the next notice says, which must be of that kind."""
        came, said = self.notice()
        assert came == kind, f"expected {kind}, got {came}: {said}"
        return said


class QueueWire:
    """A wire whose bytes, silences (b"") and faults are put in a queue."""

    def __init__(self, tick_s: float = 0.25) -> None:
        self.tick_s = tick_s
        self.coming: Queue[bytes | Exception] = Queue()
        self.told: Queue[Answer] = Queue()
        self.closed = False

    def read(self) -> bytes:
        """The next thing that was put in, or a silence."""
        try:
            thing = self.coming.get(timeout=0.02)
        except Empty:
            return b""
        if isinstance(thing, Exception):
            raise thing
        return thing

    def tell(self, answer: Answer) -> None:
        """Keep the answer."""
        self.told.put(answer)

    def close(self) -> None:
        """Remember it."""
        self.closed = True


class PtyScanner:
    """A scanner at a path of its own that can be pulled out and plugged in again, each time as another device."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._fd: int | None = None

    def plug_in(self) -> None:
        """Appear at the path."""
        self._fd, host = pty.openpty()
        tty.setraw(self._fd)
        tty.setraw(host)
        link = self.path.with_suffix(".new")
        link.symlink_to(os.ttyname(host))
        link.replace(self.path)
        os.close(host)  # while it is open, pulling the plug would not show

    def unplug(self) -> None:
        """Vanish; the path then leads nowhere."""
        if self._fd is not None:
            os.close(self._fd)
            self._fd = None

    def fileno(self) -> int:
        """For those who wait for what is sent back."""
        assert self._fd is not None
        return self._fd

    def send(self, data: bytes) -> None:
        """Type."""
        assert self._fd is not None
        os.write(self._fd, data)

    def heard(self, count: int) -> bytes:
        """The next bytes that were sent back to the scanner."""
        got = b""
        while len(got) < count:
            assert self._fd is not None
            assert select.select([self._fd], [], [], WAIT_S)[0], f"only {got!r} came back"
            got += os.read(self._fd, count - len(got))
        return got

    def speed(self) -> int:
        """The speed that the other end set, as termios writes it."""
        assert self._fd is not None
        speed: int = termios.tcgetattr(self._fd)[4]
        return speed

    def has_heard_something(self) -> bool:
        """Whether anything waits to be heard, without waiting for it."""
        assert self._fd is not None
        return bool(select.select([self._fd], [], [], 0)[0])


@contextlib.contextmanager
def plugged_in(path: Path) -> Iterator[PtyScanner]:
    """A scanner that is there, and is gone afterwards."""
    scanner = PtyScanner(path)
    scanner.plug_in()
    try:
        yield scanner
    finally:
        scanner.unplug()
