"""Keyboard scanners, as pipes that carry the kernel's records."""

import os
import sys
from collections.abc import Callable, Iterator

import pytest

from scanners.framing import Framer
from scanners.keyboard import Keyboard, KeyboardWire, named, open_keyboard
from scanners.listener import Listener
from tests.measured import WAIT_S
from tests.scanners.rig import Bench
from tests.scanners.test_keys import DOWN, EV_KEY, HELD, KEY_1, UP, digits, record, report

TICK_S = 0.02


class PipeKeyboard:
    """A keyboard whose records are written by the test."""

    def __init__(self, name: str = "Hand scanner") -> None:
        self.name = name
        self.fd, self.keys = os.pipe()
        self.down: list[int] = []
        self.grabs = 0
        self.closed = False

    def active_keys(self) -> list[int]:
        """The keys that are down."""
        return self.down

    def grab(self) -> None:
        """Count the grabs."""
        self.grabs += 1

    def close(self) -> None:
        """Let go."""
        self.closed = True
        os.close(self.fd)

    def type(self, records: bytes) -> None:
        """Send records."""
        os.write(self.keys, records)

    def unplug(self) -> None:
        """Vanish."""
        os.close(self.keys)


@pytest.fixture
def keyboard() -> Iterator[PipeKeyboard]:
    keyboard = PipeKeyboard()
    yield keyboard
    os.close(keyboard.keys)
    if not keyboard.closed:
        keyboard.close()


def read_until(wire: KeyboardWire, end: bytes) -> bytes:
    got = b""
    while not got.endswith(end):
        got += wire.read()
    return got


def test_a_scanned_code_is_read_from_the_keyboard(keyboard: PipeKeyboard) -> None:
    wire = KeyboardWire(keyboard, tick_s=WAIT_S)
    keyboard.type(digits("1000000137"))
    assert read_until(wire, b"\r") == b"1000000137\r"


def test_keys_that_are_let_go_are_no_silence(keyboard: PipeKeyboard, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("scanners.keyboard.READ_BYTES_MAX", 24)  # each record comes alone
    wire = KeyboardWire(keyboard, tick_s=WAIT_S)
    keyboard.type(record(EV_KEY, KEY_1, UP) + report())
    keyboard.type(record(EV_KEY, KEY_1, DOWN))
    assert wire.read() == b"1"


@pytest.mark.fault
def test_a_key_that_is_stuck_cannot_keep_a_read_from_ending(keyboard: PipeKeyboard) -> None:
    class Stuck(KeyboardWire):
        def _records(self) -> bytes:
            records = super()._records()
            keyboard.type(record(EV_KEY, KEY_1, HELD))
            return records

    keyboard.type(record(EV_KEY, KEY_1, HELD))
    assert Stuck(keyboard, tick_s=TICK_S).read() == b""


@pytest.mark.fault
def test_a_keyboard_is_not_grabbed_while_one_of_its_keys_is_down(keyboard: PipeKeyboard) -> None:
    wire = KeyboardWire(keyboard, tick_s=TICK_S)
    keyboard.down = [KEY_1]
    wire.read()
    assert keyboard.grabs == 0
    keyboard.down = []
    wire.read()
    wire.read()
    assert keyboard.grabs == 1


@pytest.mark.fault
def test_a_keyboard_that_is_unplugged_is_let_go_and_read_again_when_it_is_back() -> None:
    first, second = PipeKeyboard(), PipeKeyboard()
    there = [first, second]
    bench = Bench()

    def open_wire() -> KeyboardWire:
        return KeyboardWire(named("Hand scanner", ["/dev/input/event7"], lambda path: there[0]), tick_s=TICK_S)

    framer = Framer(gap_s=WAIT_S)
    listener = Listener("gun", open_wire, bench.callbacks, bench.clock, framer=framer, back_off_s=(0.005,))
    listener.start()
    first.type(digits("1000000137")[:-96])  # all but Enter
    bench.wait_for("present")
    del there[0]
    first.unplug()
    bench.wait_for("absent")
    bench.wait_for("present")
    second.type(digits("2000000138"))
    assert bench.text() == "2000000138"
    assert listener.stop(WAIT_S)
    assert (first.closed, second.closed) == (True, True)
    second.unplug()


@pytest.mark.fault
def test_two_keyboards_that_type_at_once_are_two_scanners() -> None:
    keyboards, benches = [PipeKeyboard("left"), PipeKeyboard("right")], [Bench(), Bench()]
    listeners = [
        Listener(keyboard.name, opening(keyboard), bench.callbacks, bench.clock, framer=Framer(gap_s=WAIT_S))
        for keyboard, bench in zip(keyboards, benches, strict=True)
    ]
    for listener in listeners:
        listener.start()
    codes = [digits("1000000137"), digits("2000000138")]
    for n in range(0, len(codes[0]), 24):
        for keyboard, code in zip(keyboards, codes, strict=True):
            keyboard.type(code[n : n + 24])
    scans = [bench.scan() for bench in benches]
    assert [(scan.device, scan.text) for scan in scans] == [("left", "1000000137"), ("right", "2000000138")]
    assert all(listener.stop(WAIT_S) for listener in listeners)
    for keyboard in keyboards:
        keyboard.unplug()


def opening(keyboard: PipeKeyboard) -> Callable[[], KeyboardWire]:
    return lambda: KeyboardWire(keyboard, tick_s=TICK_S)


def test_a_keyboard_is_found_by_its_name_and_the_others_are_let_go() -> None:
    desk, gun = PipeKeyboard("Desk keyboard"), PipeKeyboard("Hand scanner")
    at = {"/dev/input/event0": desk, "/dev/input/event1": gun}

    def open_path(path: str) -> Keyboard:
        if path not in at:
            raise PermissionError(path)
        return at[path]

    assert named("Hand scanner", ["/dev/input/event9", *at], open_path) is gun
    assert (desk.closed, gun.closed) == (True, False)
    gun.close()
    for keyboard in at.values():
        keyboard.unplug()


def test_a_keyboard_that_is_not_there_is_an_oserror_that_names_those_that_are() -> None:
    desk = PipeKeyboard("Desk keyboard")
    with pytest.raises(OSError, match="no keyboard named 'gun'; there are: 'Desk keyboard'"):
        named("gun", ["/dev/input/event0"], lambda path: desk)
    desk.unplug()


@pytest.mark.parametrize("name", ["no such keyboard", "/dev/input/by-id/nothing"])
def test_opening_a_keyboard_that_does_not_exist_is_an_oserror(name: str) -> None:
    pytest.importorskip("evdev", reason="evdev was NOT tested: it must be compiled, with the headers of a Linux kernel")
    with pytest.raises(OSError, match=r"no such keyboard|No such file"):
        open_keyboard(name)


def test_without_evdev_a_person_is_told_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "evdev", None)
    with pytest.raises(OSError, match=r"piecewalk\[keyboard\]"):
        open_keyboard("gun")
