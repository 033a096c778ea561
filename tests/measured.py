"""Claims about how quick the program is, held on a machine that has other work too.

Never widens a bound: what else the machine does only ever adds to a time, so the best of a few attempts counts, and
it counts by how much of the machine there was to have.
"""

import time
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from shared.clock import SetClock

WAIT_S = 60.0
"""How long a test waits for what must come before it gives up: on no machine does it take that long."""
ATTEMPTS = 5
SPIN_S = 0.05
"""Of processor time: several turns of the operating system's scheduler."""


def seconds(work: Callable[[], object]) -> float:
    """How long it takes."""
    began = time.monotonic()
    work()
    return time.monotonic() - began


def give_up_after(wait_s: float) -> Callable[[], bool]:
    """Tells, whenever it is asked, whether so long has passed: for what can only be looked at again and again."""
    at = time.monotonic() + wait_s
    return lambda: time.monotonic() > at


def assert_within(bound_s: float, measure: Callable[[], float], attempts: int = ATTEMPTS) -> None:
    """That one of a few attempts is done in time; the first that is ends them."""
    measured = []
    for _ in range(attempts):
        crowd = _crowd()
        measured.append(measure() / max(crowd, _crowd()))
        if measured[-1] <= bound_s:
            return
    pytest.fail(f"{bound_s} s were promised; {attempts} attempts took {measured}")


def browser_time() -> float:
    """The moment as a browser tells it: seconds since 1970."""
    return time.time()


class RunningClock(SetClock):
    """A clock that goes on from where it was set."""

    def __init__(self, moment: datetime) -> None:
        super().__init__(moment)
        self._began = time.monotonic()

    def now(self) -> datetime:
        return super().now() + timedelta(seconds=time.monotonic() - self._began)


def _crowd() -> float:
    """Seconds that pass while this thread gets one second of a processor: 1 on a machine that does nothing else."""
    began, spun = time.monotonic(), time.thread_time()
    while time.thread_time() - spun < SPIN_S:
        pass
    return max((time.monotonic() - began) / (time.thread_time() - spun), 1.0)
