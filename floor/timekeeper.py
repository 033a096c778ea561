"""The timekeeper: wakes at the next deadline, and sees to it that the alarms are those that should stand.

Never remembers: what is due is worked out anew from the floor, so a restart or a double firing is harmless.
"""

from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from threading import Condition

from apscheduler.events import EVENT_JOB_ERROR, JobExecutionEvent
from apscheduler.jobstores.base import JobLookupError
from apscheduler.schedulers.background import BackgroundScheduler
from apscheduler.triggers.interval import IntervalTrigger

from floor.alarms import changes, next_deadline
from floor.day import sign_outs
from floor.service import Service
from floor.state import Floor
from shared.clock import SystemClock
from shared.events import Fact

EACH_MINUTE_S = 60
"""Lateness grows without a deadline, and a clock may be set: everything is looked at again this often."""
TIMER = "look"
"""The only job of the scheduler: it is moved, never added or removed while the scheduler runs."""
MAX_INSTANCES = 2
"""Never two at once: but the scheduler counts one that has just armed its successor for a moment longer."""


class Timekeeper:
    """One scheduler, one timer. `look` does the work; the scheduler only calls it."""

    def __init__(self, service: Service, on_trouble: Callable[[BaseException], None] = lambda _: None) -> None:
        self._service = service
        self._scheduler = BackgroundScheduler(
            timezone=UTC,
            job_defaults={"misfire_grace_time": None, "coalesce": True, "max_instances": MAX_INSTANCES},
        )
        self._turn = Condition()
        self._looking = self._again = self._stopped = False
        self._scheduler.add_listener(lambda event: _report(event, on_trouble), EVENT_JOB_ERROR)

    def look(self) -> datetime | None:
        """Record what time has done to the floor up to now; the next deadline, None when nothing can fall due."""
        now = self._service.clock.now()
        shop = self._service.shop

        def work(floor: Floor) -> tuple[list[Fact], datetime | None]:
            due = [*changes(floor, shop, now), *sign_outs(floor, shop, now)]
            return due, next_deadline(floor, shop, now)

        return self._service.record(work)

    def start(self) -> None:
        """Look at once, then at every deadline, whenever the ledger grows, and each minute."""
        each_minute = IntervalTrigger(seconds=EACH_MINUTE_S, timezone=UTC)
        self._scheduler.add_job(self._look_and_arm, each_minute, id=TIMER, next_run_time=SystemClock().now())
        self._scheduler.start()
        self._service.follow(self.look_soon)

    def stop(self) -> None:
        """Let go of the timer, and wait for a look that is under way; what falls due later is found at the next start.

        The scheduler itself must not wait: it would hold the lock that the look needs to move the timer.
        """
        if self._scheduler.running:
            self._scheduler.shutdown(wait=False)
        with self._turn:
            self._stopped = True
            self._turn.wait_for(lambda: not self._looking)

    def look_soon(self) -> None:
        """Have the scheduler look now; if it is looking just now, once more when it has."""
        with self._turn:
            self._again = self._looking
            if not self._looking:
                self._arm(0.0)

    def _look_and_arm(self) -> None:
        with self._turn:
            if self._stopped:
                return
            self._looking, self._again = True, False
        wait_s: float = EACH_MINUTE_S
        try:
            deadline = self.look()
            if deadline is not None:
                wait_s = (deadline - self._service.clock.now()).total_seconds()
        finally:
            with self._turn:
                self._looking = False
                self._turn.notify_all()
                self._arm(0.0 if self._again else wait_s)

    def _arm(self, wait_s: float) -> None:
        """Move the one timer nearer. It runs by the computer's clock: the floor's own may have been set apart."""
        if wait_s >= EACH_MINUTE_S:
            return
        with suppress(JobLookupError):  # the scheduler was shut down meanwhile
            at = SystemClock().now() + timedelta(seconds=max(wait_s, 0.0))
            self._scheduler.modify_job(TIMER, next_run_time=at)


def _report(event: JobExecutionEvent, on_trouble: Callable[[BaseException], None]) -> None:
    if event.exception is not None:
        on_trouble(event.exception)
