"""The timekeeper: wakes at the next deadline, and sees to it that the alarms are those that should stand.

Never remembers: what is due is worked out anew from the floor, so a restart or a double firing is harmless.
"""

from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from math import inf
from threading import Event, Lock, Thread
from time import monotonic

from apscheduler.events import EVENT_JOB_ERROR, JobExecutionEvent
from apscheduler.jobstores.base import JobLookupError
from apscheduler.schedulers.background import BackgroundScheduler
from apscheduler.triggers.interval import IntervalTrigger

from floor.core.plan.alarms import changes, next_deadline
from floor.core.plan.forecast import expected_finishes, foretell
from floor.core.rules.day import sign_outs
from floor.core.state.floor import Floor
from floor.ledger import LedgerError
from floor.service.service import Service
from shared.clock import SystemClock
from shared.events.recorded import Fact

EACH_MINUTE_S = 60
"""Lateness grows without a deadline, and a clock may be set: everything is looked at again this often."""
TIMER = "look"
"""The job that is moved; none is added or removed while the scheduler runs."""
MAX_INSTANCES = 10
"""They look one after the other; the scheduler counts one that has just ended for a moment longer."""
SOON_S = 0.2
"""How soon to look after the ledger has grown: no hand is quicker, and a busy floor is not looked at for every scan."""


class Timekeeper:
    """One scheduler, one timer. `look` does the work; the scheduler only calls it.

    The scheduler goes by the computer's clock, and would sleep for as long as that is set back. So a thread of its own
    calls it each minute by a clock that nobody can set, if the scheduler has not looked by itself.

    `each_minute` is other work, such as a backup, that sees by itself whether it is due and whether it is under way.
    """

    def __init__(
        self,
        service: Service,
        on_trouble: Callable[[BaseException], None] = lambda _: None,
        each_minute: Sequence[Callable[[], None]] = (),
    ) -> None:
        self._service = service
        self._on_trouble = on_trouble
        self._each_minute = each_minute
        self._scheduler = BackgroundScheduler(
            timezone=UTC,
            job_defaults={"misfire_grace_time": None, "coalesce": True, "max_instances": MAX_INSTANCES},
        )
        self._one_at_a_time = Lock()
        self._moving = Lock()
        self._stands_at = inf
        """When the timer will fire, if before the full minute: by time.monotonic, which nobody can set."""
        self._looked_at = -inf
        """When it looked last, by the same clock."""
        self._stopped = Event()
        self._scheduler.add_listener(lambda event: _report(event, on_trouble), EVENT_JOB_ERROR)

    def look(self) -> datetime | None:
        """Record what time has done to the floor up to now; the next deadline, None when nothing can fall due."""
        now = self._service.clock.now()
        shop = self._service.shop
        with self._service.watcher.looking() as watched:
            expected = expected_finishes(watched, shop, now)  # takes long: no scan must wait for it

        def work(floor: Floor) -> tuple[list[Fact], datetime | None]:
            due = [*changes(floor, shop, now, expected), *foretell(floor, expected, now), *sign_outs(floor, shop, now)]
            return due, next_deadline(floor, shop, now)

        return self._service.record(work)

    def start(self) -> None:
        """Look at once, then at every deadline, whenever the ledger grows, and each minute."""
        each_minute = IntervalTrigger(seconds=EACH_MINUTE_S, timezone=UTC)
        self._scheduler.add_job(self._look_and_arm, each_minute, id=TIMER, next_run_time=SystemClock().now())
        for work in self._each_minute:
            self._scheduler.add_job(work, each_minute, next_run_time=SystemClock().now())
        self._scheduler.start()
        Thread(target=self._watch, name="timekeeper", daemon=True).start()
        self._service.follow(self.look_soon)

    def stop(self) -> None:
        """Let go of the timer, and wait for a look that is under way; what falls due later is found at the next start.

        The scheduler itself must not wait: it would hold the lock that the look needs to move the timer.
        """
        if self._scheduler.running:
            self._scheduler.shutdown(wait=False)
        self._stopped.set()
        with self._one_at_a_time:
            pass

    def look_soon(self) -> None:
        """Have the scheduler look before long."""
        self._arm(SOON_S)

    def _look_and_arm(self) -> None:
        with self._one_at_a_time:
            if self._stopped.is_set():
                return
            self._looked_at = monotonic()
            self._stands_at = inf  # whoever moves the timer from now on asks for another look than this one
            try:
                deadline = self.look()
            except LedgerError as error:  # the scheduler would tell it as a mistake of ours, with a trace
                self._on_trouble(error)
                return
            if deadline is not None:
                self._arm((deadline - self._service.clock.now()).total_seconds())

    def _watch(self) -> None:
        while not self._stopped.wait(EACH_MINUTE_S):
            if monotonic() - self._looked_at > EACH_MINUTE_S:
                self._call_all()

    def _call_all(self) -> None:
        """Have the scheduler do at once all that it does each minute."""
        for job in self._scheduler.get_jobs():
            with suppress(JobLookupError):
                job.modify(next_run_time=SystemClock().now())

    def _arm(self, wait_s: float) -> None:
        """Move the timer nearer, never further off.

        The scheduler goes by the computer's clock: the floor's own may have been set apart.
        """
        with self._moving, suppress(JobLookupError):  # the scheduler was shut down meanwhile
            at = monotonic() + max(wait_s, 0.0)
            if wait_s < EACH_MINUTE_S and at < self._stands_at:
                self._stands_at = at
                self._scheduler.modify_job(
                    TIMER, next_run_time=SystemClock().now() + timedelta(seconds=max(wait_s, 0.0))
                )


def _report(event: JobExecutionEvent, on_trouble: Callable[[BaseException], None]) -> None:
    if event.exception is not None:
        on_trouble(event.exception)
