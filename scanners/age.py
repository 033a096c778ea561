"""How old a read is, by what cannot be set: how long the machine has been up.

Never gives an age below zero, and asks the wall clock only across a restart of the machine.
"""

import time
from datetime import datetime
from pathlib import Path
from uuid import uuid4

from msgspec import Struct

from shared.clock import Clock

_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


class Stamp(Struct, frozen=True):
    """A moment as a bench knows it: UTC by its wall clock, and seconds since the start of one boot."""

    at: datetime
    boot: str
    up_s: float


def age_s(then: Stamp, now: Stamp) -> float:
    """Seconds from one moment to another; 0 where a clock says that the later one was earlier."""
    passed = now.up_s - then.up_s if now.boot == then.boot else (now.at - then.at).total_seconds()
    return max(0.0, passed)


class Timepiece:
    """The machine's clocks. Where a boot has no name, each start of the program counts as one."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._boot = _boot()

    def stamp(self) -> Stamp:
        """The present moment."""
        return Stamp(self._clock.now(), self._boot, _up_s())


def _boot() -> str:
    try:
        return _BOOT_ID.read_text().strip()
    except OSError:
        return uuid4().hex


def _up_s() -> float:
    """On Linux the time asleep counts too; elsewhere the monotonic clock is the best there is."""
    if hasattr(time, "CLOCK_BOOTTIME"):
        return time.clock_gettime(time.CLOCK_BOOTTIME)
    return time.monotonic()
