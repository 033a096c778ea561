"""Virtual scanners type as real ones do."""

import os
import select
import tty
from collections.abc import Iterator

import pytest

from demo_shop.wires import MANNERS, Manner, VirtualScanner, plug_in
from scanners.framing import Frame, Framer
from shared.codes import Code, CodeType, make, parse
from shared.files.shopfile import Scanner
from tests.measured import WAIT_S

CODE = make(CodeType.PIECE, 1)


@pytest.fixture(params=MANNERS, ids=repr)
def scanner(request: pytest.FixtureRequest) -> Iterator[VirtualScanner]:
    scanner = VirtualScanner(request.param)
    yield scanner
    scanner.unplug()


def test_in_every_manner_two_codes_are_two_reads(scanner: VirtualScanner) -> None:
    listening = os.open(scanner.port, os.O_RDWR | os.O_NOCTTY)
    try:
        tty.setraw(listening)
        scanner.type([CODE, CODE])
        framer = Framer()
        frames: list[Frame] = []
        while len(frames) < 2:
            assert select.select([listening], [], [], WAIT_S)[0], "nothing more came"
            frames += framer.feed(os.read(listening, 1000))
        assert [parse(frame.text) for frame in frames] == [Code(CodeType.PIECE, 1)] * 2
    finally:
        os.close(listening)


def test_no_two_neighbours_are_of_one_make() -> None:
    entries = [Scanner(name=f"gun {n}", port=f"port {n}") for n in range(len(MANNERS))]
    plugged = plug_in(entries)
    assert list(plugged) == [entry.name for entry in entries]
    assert len({scanner.port for scanner in plugged.values()}) == len(entries)
    assert len(set(MANNERS)) == len(MANNERS)
    for scanner in plugged.values():
        scanner.unplug()


def test_a_scanner_that_was_unplugged_types_no_more() -> None:
    scanner = VirtualScanner(Manner(b"", b"\r"))
    scanner.unplug()
    with pytest.raises(OSError, match="descriptor"):
        scanner.type([CODE])
