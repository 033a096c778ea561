"""Lines that a long-running command says, written by a thread of their own.

Never keeps anybody waiting: where nobody reads, or the pipe is closed, lines are lost, and scans are not.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from queue import Full, Queue
from threading import Thread

import click
import msgspec

from shared.harmless import harmless

LINES_MAX = 1_000
END_S = 1.0
"""How long the last lines may take to be read when the command ends."""

Say = Callable[[str], None]


@contextmanager
def saying(*, as_json: bool) -> Iterator[Say]:
    """What takes the lines, until the block ends: for a person, or as JSON for a program."""
    lines: Queue[str | None] = Queue(LINES_MAX)

    def say(line: str) -> None:
        with suppress(Full):
            lines.put_nowait(line)

    thread = Thread(target=_write, args=(lines, as_json), name="saying", daemon=True)
    thread.start()
    try:
        yield say
    finally:
        with suppress(Full):
            lines.put(None, timeout=END_S)
            thread.join(END_S)


def _write(lines: "Queue[str | None]", as_json: bool) -> None:
    heard = True
    while (line := lines.get()) is not None:
        if heard:
            heard = _written(line, as_json)


def _written(line: str, as_json: bool) -> bool:
    text = harmless(line)
    try:
        click.echo(msgspec.json.encode({"say": text}).decode() if as_json else text)
    except (OSError, ValueError):  # nobody reads any more
        return False
    return True
