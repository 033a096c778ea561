"""A bench's clocks, in the test's hands; reads for it; and a floor that answers as it is told."""

import json
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path

from msgspec.structs import replace

from scanners.age import Stamp
from scanners.forward import Forwarder, Notices
from scanners.post import Answered, Reply, Unreached
from scanners.spool import Spool
from shared.delivery import Delivery, Receipt
from shared.scan import Scan
from tests.scanners.rig import ACCEPTED, NOON

GONE = Unreached("nobody is there")


@contextmanager
def quick_folder() -> Iterator[Path]:
    """A folder for hundreds of examples: in memory, where there is such a place, as syncing takes no time there."""
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as folder:
        yield Path(folder)


class Watch:
    """A bench's clocks. `pass_s` is time that really goes by; `set` is somebody who sets the wall clock."""

    def __init__(self) -> None:
        self.now = Stamp(NOON, "first boot", 1_000.0)

    def __call__(self) -> Stamp:
        return self.now

    def pass_s(self, seconds: float) -> None:
        self.now = replace(self.now, at=self.now.at + timedelta(seconds=seconds), up_s=self.now.up_s + seconds)

    def set(self, at: datetime) -> None:
        self.now = replace(self.now, at=at)

    def reboot(self, off_s: float) -> None:
        self.pass_s(off_s)
        self.now = replace(self.now, boot="next boot", up_s=5.0)


def read(number: int, at: datetime = NOON) -> Scan:
    """The read of that number."""
    return Scan(read_id=f"read-{number:06}", text=f"10000{number:05}", at=at, device="gun", station="press 1")


def reads(spool: Spool) -> list[Scan]:
    """What waits in a spool."""
    return [kept.scan for kept in spool.pending(1_000_000)]


@contextmanager
def spool_with(path: Path, *scans: Scan, watch: Watch | None = None) -> Iterator[Spool]:
    """A spool at a path, with more reads put in it."""
    with Spool(path, watch or Watch()) as spool:
        for scan in scans:
            spool.put(scan)
        yield spool


FIVE = [read(n) for n in range(5)]


def reopened(path: Path) -> list[Scan]:
    """What a new start of the program finds."""
    with Spool(path, Watch()) as spool:
        return reads(spool)


def set_aside(path: Path) -> list[dict[str, str]]:
    """What lies beside the spool."""
    bad = path.with_name(f"{path.name}.bad")
    return [json.loads(line) for line in bad.read_text().splitlines() if line] if bad.exists() else []


def filled(path: Path, *scans: Scan) -> bytes:
    """The bytes of a spool with those reads in it."""
    with spool_with(path, *scans):
        pass
    return path.read_bytes()


class Floor:
    """Stands where the floor would: answers all that comes, or what it was told to answer next."""

    def __init__(self) -> None:
        self.came: list[Sequence[Delivery]] = []
        self.next: list[Reply] = []
        self.judge: Callable[[Sequence[Delivery]], Reply] = accepted

    def __call__(self, deliveries: Sequence[Delivery]) -> Reply:
        self.came.append(deliveries)
        return self.next.pop(0) if self.next else self.judge(deliveries)

    @property
    def ids(self) -> list[list[str]]:
        """The read ids of each request."""
        return [[delivery.read_id for delivery in deliveries] for deliveries in self.came]


def accepted(deliveries: Sequence[Delivery]) -> Answered:
    """Every read is accepted."""
    return Answered(tuple(Receipt(read_id=each.read_id, answer=ACCEPTED) for each in deliveries))


class Told:
    """What a forwarder says, in order."""

    def __init__(self) -> None:
        self.all: list[tuple[str, ...]] = []
        self.notices = Notices(
            on_answer=lambda scan, answer: self.all.append(("answer", scan.read_id, answer.outcome)),
            on_set_aside=lambda scan, why: self.all.append(("set aside", scan.read_id, why)),
            on_stumble=lambda scan, why: self.all.append(("stumble", scan.read_id, why)),
            on_reached=lambda: self.all.append(("reached",)),
            on_unreached=lambda why: self.all.append(("unreached", why)),
        )

    def kinds(self) -> list[str]:
        return [kind for kind, *_ in self.all]


class Way:
    """A spool, a forwarder and a floor, moved by hand: nothing in it waits."""

    def __init__(self, folder: Path) -> None:
        self.watch, self.floor, self.told = Watch(), Floor(), Told()
        self.path = folder / "bench.spool"
        self.open()

    def open(self) -> None:
        """As after a start of the program."""
        self.spool = Spool(self.path, self.watch)
        self.forwarder = Forwarder(self.spool, self.floor, self.watch, self.told.notices, luck=lambda: 0.0)

    def close(self) -> None:
        self.spool.close()

    def keep(self, *numbers: int) -> None:
        for number in numbers:
            self.spool.put(read(number, at=self.watch.now.at))

    def until_idle(self, steps_max: int = 10_000) -> list[float]:
        """Step until nothing is to be done; the pauses between."""
        pauses: list[float] = []
        while (pause := self.forwarder.step()) is not None:
            pauses.append(pause)
            assert len(pauses) < steps_max, "the forwarder never comes to rest"
        return pauses
