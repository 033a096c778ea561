"""What a long-running command says holds nobody up, whether anybody reads it or not."""

import os
import threading
from collections.abc import Iterator
from contextlib import suppress

import click
import pytest

from floor.cli.saying import LINES_MAX, saying
from tests.measured import WAIT_S


@pytest.fixture
def _patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """The last lines are waited for, however busy the machine is."""
    monkeypatch.setattr("floor.cli.saying.END_S", WAIT_S)


@pytest.mark.usefixtures("_patient")
def test_lines_are_said_in_order_for_a_person_and_for_a_program(capsys: pytest.CaptureFixture[str]) -> None:
    with saying(as_json=False) as say:
        say("one")
        say("two\x1b[2J")
    with saying(as_json=True) as say:
        say("three")
    one, two, three = capsys.readouterr().out.splitlines()
    assert (one, three) == ("one", '{"say":"three"}')
    assert "\x1b" not in two


@pytest.fixture
def full_pipe(monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    """Standard output is a pipe that nobody reads, and that is full."""
    reader, writer = os.pipe()
    os.set_blocking(writer, False)
    with suppress(BlockingIOError):
        while True:
            os.write(writer, b"x" * 65_536)
    os.set_blocking(writer, True)

    def echo(text: str) -> None:
        os.write(writer, f"{text}\n".encode())

    monkeypatch.setattr(click, "echo", echo)
    yield reader
    os.close(reader)  # lets the thread that still writes come to its end: its echo must not be that of the next test
    for thread in threading.enumerate():
        if thread.name == "saying":
            thread.join(WAIT_S)
    os.close(writer)


@pytest.mark.fault
def test_where_nobody_reads_the_sayer_goes_on_at_once(full_pipe: int) -> None:
    said = threading.Event()

    def work() -> None:
        with saying(as_json=False) as say:
            for n in range(2 * LINES_MAX):
                say(f"line {n}")
            said.set()

    threading.Thread(target=work, daemon=True).start()
    assert said.wait(WAIT_S)


@pytest.mark.fault
@pytest.mark.usefixtures("_patient")
def test_a_closed_pipe_is_nobody_s_trouble(monkeypatch: pytest.MonkeyPatch) -> None:
    calls = []

    def echo(_text: str) -> None:
        calls.append(1)
        raise BrokenPipeError

    monkeypatch.setattr(click, "echo", echo)
    with saying(as_json=False) as say:
        say("one")
        say("two")
    assert len(calls) == 1
