"""Codes from a terminal or a pipe, and the lines that answer them."""

import io
import os
import pty
from collections.abc import Iterator

import pytest

from scanners.terminal import TerminalWire
from shared.scan import Answer
from tests.measured import WAIT_S
from tests.scanners.rig import ACCEPTED, REFUSED

LOOK = Answer(outcome="accepted", say="Taken as done", look=True)


@pytest.fixture
def pipe() -> Iterator[tuple[int, int]]:
    reader, writer = os.pipe()
    yield reader, writer
    os.close(reader)


def test_what_is_typed_is_read(pipe: tuple[int, int]) -> None:
    reader, writer = pipe
    os.write(writer, b"1000000137\n")
    assert TerminalWire(reader, io.StringIO(), tick_s=WAIT_S).read() == b"1000000137\n"
    os.close(writer)


def test_silence_is_nothing_and_the_end_of_the_input_is_its_end(pipe: tuple[int, int]) -> None:
    reader, writer = pipe
    wire = TerminalWire(reader, io.StringIO(), tick_s=0.01)
    assert wire.read() == b""
    os.close(writer)
    with pytest.raises(EOFError):
        wire.read()


def test_each_answer_is_one_line() -> None:
    out = io.StringIO()
    wire = TerminalWire(0, out)
    wire.tell(ACCEPTED)
    wire.tell(REFUSED)
    assert out.getvalue() == "accepted: Next: cure\nrefused: Not a code\n"


@pytest.mark.parametrize(
    ("answer", "line"),
    [
        (ACCEPTED, b"accepted: Next: cure\r\n"),
        (REFUSED, b"\arefused: Not a code\r\n"),
        (LOOK, b"\a\aaccepted, but look: Taken as done\r\n"),
    ],
)
def test_a_terminal_beeps_once_for_a_refusal_and_twice_where_there_is_something_to_look_at(
    answer: Answer, line: bytes
) -> None:
    scanner, screen = pty.openpty()
    with os.fdopen(screen, "w") as out:
        TerminalWire(0, out).tell(answer)
        assert os.read(scanner, 100) == line
    os.close(scanner)


@pytest.mark.fault
def test_an_answer_cannot_drive_the_terminal() -> None:
    out = io.StringIO()
    TerminalWire(0, out).tell(Answer(outcome="accepted", say="For \x1b[2J\x07\r\nrm\u202e\x9b31m"))
    assert out.getvalue() == "accepted: For ?[2J???rm??31m\n"
