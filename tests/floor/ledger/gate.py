"""A ledger whose commits can be held up and made to fail, for tests of the writer.

Never fails by itself.
"""

import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import Future
from contextlib import contextmanager
from typing import Any

from floor.ledger import Lookup, MemoryLedger, Unavailable, Writer
from floor.ledger.memory import MemoryTransaction
from shared.events.recorded import Fact
from tests.floor.ledger.facts import once
from tests.measured import WAIT_S


class GatedLedger(MemoryLedger):
    """A ledger whose commits wait at a gate, and fail when told to."""

    def __init__(self) -> None:
        super().__init__()
        self.gate = threading.Event()
        self.gate.set()
        self.at_gate = threading.Semaphore(0)
        self.commits = 0
        self.failures: list[Exception | None] = []
        self.lost_answers = 0
        self.readable = True

    @contextmanager
    def transaction(self) -> Iterator[MemoryTransaction]:
        with super().transaction() as transaction:
            yield transaction
            self.at_gate.release()
            assert self.gate.wait(WAIT_S)
            failure = self.failures.pop(0) if self.failures else None
            if failure:
                raise failure
            self.commits += 1
        if self.lost_answers:  # the commit is done, but the connection went before it could say so
            self.lost_answers -= 1
            raise Unavailable("gone for a while")

    def rows(self, after: int = 0, until: int | None = None) -> Iterator[Any]:
        if not self.readable:
            raise Unavailable("gone for a while")
        return super().rows(after, until)


def commit_held(ledger: GatedLedger, writer: Writer) -> "Future[str]":
    """A first read whose commit waits at the gate: all that follows must queue behind it."""
    ledger.gate.clear()
    first = writer.submit(once("held"))
    assert ledger.at_gate.acquire(timeout=WAIT_S)
    return first


def fail(_known: Lookup) -> tuple[Sequence[Fact], str]:
    """Work that fails."""
    raise ZeroDivisionError
