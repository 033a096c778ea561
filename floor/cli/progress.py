"""Bars that show a person at a terminal how far a long work is.

Never draws where nobody watches: a pipe gets the answer and nothing else.
"""

import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Protocol, TypeVar

from rich.console import Console
from rich.progress import Progress

from floor.ledger import Ledger
from shared.events.recorded import Recorded

STRIDE = 1_000
"""Rows from one movement of the bar to the next."""

Step = Callable[[int], None]
"""Told how much is done."""


class Numbered(Protocol):
    """A row of the ledger, stored or decoded."""

    @property
    def seq(self) -> int: ...


R = TypeVar("R", bound=Numbered)
T = TypeVar("T")


def screen() -> Console | None:
    """Where to draw a bar: beside the answer, where a person watches; None where nobody does."""
    return Console(stderr=True) if sys.stderr.isatty() else None


@contextmanager
def bar(what: str, total: int, console: Console | None, passes: int = 1) -> Iterator[Step]:
    """A bar until the block ends; `total` is what one of several passes comes to, each of which counts from the start.

    Without a console there is none.
    """
    if console is None:
        yield lambda _done: None
        return
    with Progress(console=console, transient=True) as drawn:
        task = drawn.add_task(what, total=total * passes)
        before = latest = 0

        def step(done: int) -> None:
            nonlocal before, latest
            before += total if done < latest else 0
            latest = done
            drawn.update(task, completed=before + done)

        yield step


def watched(rows: Iterable[R], last: int, console: Console | None) -> Iterator[R]:
    """The same rows of a ledger up to the last; a bar shows how far they are, until they end."""
    with bar("reading", last, console) as step:
        for row in rows:
            if row.seq % STRIDE == 0:
                step(row.seq)
            yield row


def read(ledger: Ledger) -> Iterator[Recorded]:
    """The events of a ledger; a bar shows how far they are."""
    return watched(ledger.rows(), ledger.head(), screen())


def counted(what: str, works: Iterable[T], total: int, console: Console | None) -> Iterator[T]:
    """The same things, one after the other; a bar counts those that are done."""
    with bar(what, total, console) as step:
        for done, work in enumerate(works, start=1):
            yield work
            step(done)
