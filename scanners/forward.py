"""From a bench's spool to the floor: in order, again and again, until the floor has answered.

Never clears a read that the floor has not answered, and never sends one under another id.
"""

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from threading import Event, Thread

from scanners.age import Stamp, age_s
from scanners.post import Answered, Barred, Malformed, Post, Reply, Tripped, Unreached
from scanners.record import KeptScan
from scanners.spool import Spool, SpoolError
from shared.delivery import READS_MAX, Delivery, Receipt
from shared.scan import Answer, Scan

FIRST_PAUSE_S = 0.5
LONGEST_PAUSE_S = 30.0

Luck = Callable[[], float]
"""A number from 0 up to 1, another one each time."""


def pause_s(failures: int, luck: float) -> float:
    """How long to wait after so many failures in a row: 0.5 s, doubled each time, up to 30 s.

    Less up to the half of it by luck, so that the benches of a shop do not all come back in the same moment.
    """
    doubled = FIRST_PAUSE_S * 2.0 ** min(max(failures - 1, 0), 10)
    return min(doubled, LONGEST_PAUSE_S) * (1 - luck / 2)


def delivery(kept: KeptScan, now: Stamp) -> Delivery:
    """A kept read as it is sent at a moment."""
    scan = kept.scan
    return Delivery(
        read_id=scan.read_id,
        text=scan.text,
        at=scan.at,
        age_s=age_s(kept.stamp, now),
        device=scan.device,
        station=scan.station,
        badge=scan.badge,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Notices:
    """What a forwarder calls, on its own thread. None of them may raise.

    `on_answer` comes once for each read that the floor has answered, `on_set_aside` for one that it will never take,
    `on_stumble` each time that the floor fails over a read that it may take some day. `on_reached` and
    `on_unreached(why)` come once for each change.
    """

    on_answer: Callable[[Scan, Answer], None]
    on_set_aside: Callable[[Scan, str], None]
    on_stumble: Callable[[Scan, str], None]
    on_reached: Callable[[], None]
    on_unreached: Callable[[str], None]


class Forwarder:
    """Delivers what is in a spool. `step` does the work; the thread only calls it."""

    def __init__(
        self, spool: Spool, post: Post, stamp: Callable[[], Stamp], notices: Notices, luck: Luck = random.random
    ) -> None:
        self._spool = spool
        self._post = post
        self._stamp = stamp
        self._notices = notices
        self._luck = luck
        self._at_once = READS_MAX
        self._failures = 0
        self._trouble: str | None = ""
        """Why the floor was not reached the last time; None when it was, empty before the first time."""
        self._postponed: set[str] = set()
        """Reads over which the floor stumbled: all others go first."""
        self._stumbles = 0
        self._work = Event()
        self._stopping = Event()
        self._thread = Thread(target=self._run, name="forwarder", daemon=True)

    @property
    def failing(self) -> bool:
        """Whether the floor was not reached the last time."""
        return self._failures > 0

    def start(self) -> None:
        """Begin to deliver."""
        self._thread.start()

    def wake(self) -> None:
        """Say that there is something in the spool. While the floor is not reached, the pause goes on all the same."""
        self._work.set()

    def stop(self, wait_s: float = 2.0) -> bool:
        """Stop delivering; says whether the thread ended in that time. What is on its way is sent again some day."""
        self._stopping.set()
        self._work.set()
        if self._thread.ident is not None:
            self._thread.join(wait_s)
        return not self._thread.is_alive()

    def _run(self) -> None:
        while not self._stopping.is_set():
            self._work.clear()  # before looking: what is kept from now on sets it again
            wait_s = self.step()
            (self._stopping if self.failing else self._work).wait(wait_s)

    def step(self) -> float | None:
        """Deliver once. Seconds to wait before the next step; None when there is nothing to be delivered."""
        waiting = self._spool.pending(self._at_once, without=self._postponed)
        if not waiting:
            return self._come_back_to_postponed()
        now = self._stamp()
        reply = self._post([delivery(kept, now) for kept in waiting])
        try:
            return self._done(waiting, reply)
        except SpoolError as error:  # what is to be set aside cannot be written down: it waits until it can
            return self._not_reached(str(error))

    def _done(self, sent: Sequence[KeptScan], reply: Reply) -> float:
        match reply:
            case Barred(why):
                return self._not_reached(why, LONGEST_PAUSE_S)
            case Unreached(why, wait_s):
                return self._not_reached(why, wait_s)
        self._reached()
        match reply:
            case Answered(receipts):
                self._answered(sent, receipts)
            case _ if len(sent) > 1:
                self._at_once = 1  # one of them is at fault: it shows when each goes alone
            case Malformed(why):
                self._never_taken(sent[0].scan, why)
            case Tripped(why):
                self._postpone(sent[0].scan, why)
        return 0.0

    def _answered(self, sent: Sequence[KeptScan], receipts: Sequence[Receipt]) -> None:
        self._at_once = min(2 * self._at_once, READS_MAX)
        self._spool.clear([receipt.read_id for receipt in receipts])
        for kept, receipt in zip(sent, receipts, strict=False):
            self._notices.on_answer(kept.scan, receipt.answer)

    def _never_taken(self, scan: Scan, why: str) -> None:
        self._spool.set_aside(scan.read_id, why)
        self._notices.on_set_aside(scan, why)

    def _postpone(self, scan: Scan, why: str) -> None:
        self._postponed.add(scan.read_id)
        self._stumbles += 1
        self._notices.on_stumble(scan, why)

    def _come_back_to_postponed(self) -> float | None:
        if not self._postponed:
            self._stumbles = 0
            return None
        self._postponed.clear()
        return pause_s(self._stumbles, self._luck())

    def _reached(self) -> None:
        self._failures = 0
        if self._trouble is not None:
            self._trouble = None
            self._notices.on_reached()

    def _not_reached(self, why: str, at_least_s: float = 0.0) -> float:
        self._failures += 1
        if why != self._trouble:
            self._trouble = why
            self._notices.on_unreached(why)
        return max(pause_s(self._failures, self._luck()), min(at_least_s, LONGEST_PAUSE_S))
