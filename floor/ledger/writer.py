"""One thread that writes to the ledger, so that work which arrives during a commit shares the next one.

Never knows the rules of the floor: it is handed what to decide, how to fold and how to start afresh.
"""

import queue
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from typing import Any, Generic, Self, TypeVar

from floor.ledger.contract import Ledger, Lookup, Transaction
from floor.ledger.errors import Busy, Stopped, Unavailable
from shared.events.recorded import Fact, Recorded

T = TypeVar("T")

Work = Callable[[Lookup], tuple[Sequence[Fact], T]]
"""Decides, on the writer's thread, with the state as new as the ledger: what to record and what to answer."""

retry_s = 1.0
"""How often to try to rebuild a state that could not be rebuilt, while there is nothing else to do."""


@dataclass(frozen=True, slots=True)
class _Job(Generic[T]):
    work: Work[T]
    read_id: str | None
    answer: Future[T] = field(default_factory=Future)


class Writer:
    """Group commit: work is queued, decided in order, and answered when it is durable.

    `fold` takes rows into the owner's state, in the order of the ledger, each once: the writer's own and those
    of other processes. `rebuild` makes that state anew from the ledger and returns the number of the last row in
    it: at the start, and after rows were folded that could not be committed. The state is locked meanwhile.
    Work that records nothing is enough to fold what other processes appended. `committed` gets the writer's own rows
    once they are durable, for whoever else keeps a state.
    """

    def __init__(
        self,
        ledger: Ledger,
        fold: Callable[[Iterable[Recorded]], None],
        rebuild: Callable[[], int],
        now: Callable[[], datetime],
        queue_max: int = 1_000,
        batch_max: int = 256,
        committed: Callable[[Sequence[Recorded]], None] = lambda _rows: None,
    ) -> None:
        self._ledger = ledger
        self._fold = fold
        self._rebuild = rebuild
        self._now = now
        self._batch_max = batch_max
        self._queue: queue.Queue[_Job[Any] | None] = queue.Queue(queue_max)
        self._intake = threading.Lock()
        self._open = False
        self._state = threading.RLock()
        self._ahead = True
        """Whether the state holds, or may hold, what is not in the ledger."""
        self._folded = 0
        self._committed = committed
        self._uncommitted: list[Recorded] = []
        self._thread = threading.Thread(target=self._run, name="ledger writer", daemon=True)

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()

    def start(self) -> None:
        """Build the state, in this thread, and begin to take work. Raises whatever `rebuild` raises."""
        with self._state:
            self._start_afresh()
        self._open = True
        self._thread.start()

    def stop(self) -> None:
        """Take no more work, write what is queued, and end."""
        with self._intake:
            was_open, self._open = self._open, False
        if was_open:
            self._queue.put(None)
            self._thread.join()

    def submit(self, work: Work[T], read_id: str | None = None) -> "Future[T]":
        """Queue work; the future has its answer once all that it recorded is durable.

        Name the read that the work will look for: all those of a commit are then looked for at once.

        Raises Busy when the queue is full, Stopped after the end. The future fails with what `work` raised, then
        nothing of it was recorded, or with a LedgerError, then send it again with the same read id.
        """
        job = _Job(work, read_id)
        with self._intake:
            if not self._open:
                raise Stopped("the floor is closing and takes no more reads: keep it and send it again")
            try:
                self._queue.put_nowait(job)
            except queue.Full:
                raise Busy(f"{self._queue.maxsize} reads are waiting already: keep it and send it again") from None
        return job.answer

    @contextmanager
    def reading(self) -> Iterator[None]:
        """While it is held the state stands still, and holds what is committed and nothing else.

        Raises Unavailable while the ledger cannot be read to rebuild it. The writer waits meanwhile, so keep it
        short, and never wait for an answer of the writer inside.
        """
        with self._state:
            if self._ahead:
                raise Unavailable("the ledger cannot be read just now, and the floor's state must be read from it")
            yield

    # On the writer's thread

    def _run(self) -> None:
        going = True
        while going:
            jobs = self._next_batch()
            going = None not in jobs
            self._write([job for job in jobs if job and job.answer.set_running_or_notify_cancel()])

    def _next_batch(self) -> list[_Job[Any] | None]:
        """All that is queued, up to the bound and to the sign to end; waits for the first, and sleeps meanwhile."""
        batch: list[_Job[Any] | None] = []
        with suppress(queue.Empty):
            batch.append(self._queue.get(timeout=retry_s if self._ahead else None))
            while len(batch) < self._batch_max and batch[-1]:
                batch.append(self._queue.get_nowait())
        return batch

    def _write(self, jobs: Sequence[_Job[Any]]) -> None:
        """Commit, then answer: not before it is durable, nor while the state is still locked."""
        if not jobs and not self._ahead:
            return
        with ExitStack() as until_committed:
            try:
                answers = self._commit(jobs, until_committed)
            except Exception as error:  # noqa: BLE001 whoever waits must hear of it, and the writer must go on
                answers = [partial(job.answer.set_exception, error) for job in jobs]
                self._forget_what_was_not_committed()
        for answer in answers:
            answer()

    def _commit(self, jobs: Sequence[_Job[Any]], until_committed: ExitStack) -> list[Callable[[], None]]:
        with self._ledger.transaction() as transaction:
            until_committed.enter_context(self._state)
            transaction.look_up([job.read_id for job in jobs if job.read_id is not None])
            self._catch_up(transaction)
            answers = [self._do(job, transaction) for job in jobs]
        self._ahead = False
        rows, self._uncommitted = self._uncommitted, []
        self._committed(rows)
        return answers

    def _do(self, job: _Job[Any], transaction: Transaction) -> Callable[[], None]:
        try:
            facts, answer = job.work(transaction)
            rows = transaction.append(facts, self._now())
        except Exception as error:  # noqa: BLE001 one piece of work that fails must not take the others with it
            return partial(job.answer.set_exception, error)
        if rows:
            self._take(rows, transaction.head())
            self._uncommitted += rows
        return partial(job.answer.set_result, answer)

    def _catch_up(self, transaction: Transaction) -> None:
        """Fold what other processes appended since the last commit."""
        head = transaction.head()
        if self._ahead or head < self._folded:
            self._start_afresh()
        if head > self._folded:
            self._take(transaction.rows(after=self._folded), head)
        self._ahead = False

    def _take(self, rows: Iterable[Recorded], head: int) -> None:
        self._ahead = True
        self._fold(rows)
        self._folded = head

    def _start_afresh(self) -> None:
        self._ahead = True
        self._uncommitted.clear()
        self._folded = self._rebuild()
        self._ahead = False

    def _forget_what_was_not_committed(self) -> None:
        self._uncommitted.clear()
        if not self._ahead:
            return
        with self._state, suppress(Exception):  # where the ledger cannot even be read, the next batch tries again
            self._start_afresh()
