"""The end of a long-running command: asked for by SIGINT or SIGTERM at any moment, and never long in coming.

Never takes anything with it: what was answered is in the ledger already, or in a bench's spool.
"""

import os
import signal
from threading import Event, Timer
from types import FrameType
from typing import NoReturn

END_WITHIN_S = 2.5
"""Whatever holds the end up for longer (a device, a page, a plan that is worked out) is not waited for."""
ENDED = 0
AGAIN_S = 0.5
"""So often whoever waits for the end looks up: a signal that comes just before a wait begins does not interrupt it."""


class Asked(Event):
    """The end that was asked for. Waiting for it without a timeout ends, whatever moment a signal comes at."""

    def wait(self, timeout: float | None = None) -> bool:
        if timeout is not None:
            return super().wait(timeout)
        while not super().wait(AGAIN_S):
            pass  # handlers of signals run between two waits
        return True


def end_at_once_when_asked() -> None:
    """Until there is something to close, a signal ends the program, well; for the main thread only."""
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, _end)


def _end(_number: int, _frame: FrameType | None) -> NoReturn:
    _end_in_time()  # what was begun is closed first
    raise SystemExit(ENDED)


def stop_event() -> Event:
    """An event that SIGINT and SIGTERM set, from now on; for the main thread only."""
    stop = Asked()

    def ask(_number: int, _frame: FrameType | None) -> None:
        if not stop.is_set():
            _end_in_time()
        stop.set()

    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, ask)
    return stop


def _end_in_time() -> None:
    timer = Timer(END_WITHIN_S, os._exit, [ENDED])
    timer.daemon = True
    timer.start()
