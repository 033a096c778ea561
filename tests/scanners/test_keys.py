"""What a keyboard scanner's key records type."""

import itertools
import struct
from collections.abc import Iterable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scanners.framing import Framer
from scanners.keys import _PLAIN, LOST, KeyDecoder

EV_SYN, EV_KEY = 0, 1
SYN_DROPPED = 3
UP, DOWN, HELD = 0, 1, 2
LEFT_SHIFT, RIGHT_SHIFT, LEFT_CTRL, ENTER, KEY_A, KEY_B, KEY_1, KEY_MINUS = 42, 54, 29, 28, 30, 48, 2, 12


def record(kind: int, code: int, value: int) -> bytes:
    return struct.pack("llHHi", 1_790_000_000, 250_000, kind, code, value)


def report() -> bytes:
    return record(EV_SYN, 0, 0)


def stroke(code: int) -> bytes:
    return record(EV_KEY, code, DOWN) + report() + record(EV_KEY, code, UP) + report()


def typed(*records: bytes) -> bytes:
    return KeyDecoder().feed(b"".join(records))


def digits(text: str) -> bytes:
    """The strokes of a number on the top row, and Enter: KEY_1 is 2 … KEY_9 is 10, KEY_0 is 11."""
    return b"".join(stroke(11 if digit == "0" else int(digit) + 1) for digit in text) + stroke(ENTER)


def test_a_number_and_enter_are_typed() -> None:
    assert typed(digits("1000000137")) == b"1000000137\r"


def test_the_keypad_types_digits_and_ends_codes_too() -> None:
    keypad = {"7": 71, "8": 72, "9": 73, "4": 75, "5": 76, "6": 77, "1": 79, "2": 80, "3": 81, "0": 82}
    assert typed(*(stroke(keypad[digit]) for digit in "1234567890"), stroke(96)) == b"1234567890\r"


def test_tab_ends_a_code() -> None:
    assert typed(stroke(KEY_1), stroke(15)) == b"1\t"


@pytest.mark.parametrize("shift", [LEFT_SHIFT, RIGHT_SHIFT])
def test_shift_makes_capitals_while_it_is_held(shift: int) -> None:
    held = record(EV_KEY, shift, DOWN), stroke(KEY_A), record(EV_KEY, shift, HELD), stroke(KEY_A)
    assert typed(*held, record(EV_KEY, shift, UP), stroke(KEY_A)) == b"AAa"


def test_one_shift_may_be_let_go_while_the_other_is_held() -> None:
    both = record(EV_KEY, LEFT_SHIFT, DOWN), record(EV_KEY, RIGHT_SHIFT, DOWN)
    assert typed(*both, record(EV_KEY, LEFT_SHIFT, UP), stroke(KEY_A)) == b"A"


@pytest.mark.fault
def test_a_key_that_repeats_types_once() -> None:
    assert typed(record(EV_KEY, KEY_1, DOWN), record(EV_KEY, KEY_1, HELD) * 9, record(EV_KEY, KEY_1, UP)) == b"1"


@pytest.mark.fault
def test_keys_that_are_let_go_without_having_been_pressed_type_nothing() -> None:
    assert typed(record(EV_KEY, KEY_1, UP), record(EV_KEY, LEFT_SHIFT, UP), stroke(KEY_A)) == b"a"


def test_stx_is_typed_as_control_b_by_some() -> None:
    assert typed(record(EV_KEY, LEFT_CTRL, DOWN), stroke(KEY_B), record(EV_KEY, LEFT_CTRL, UP)) == b"\x02"


def test_keys_without_a_character_and_other_events_type_nothing() -> None:
    assert typed(stroke(113), record(4, 4, 458_756), record(17, 1, 1), stroke(KEY_1)) == b"1"


@pytest.mark.fault
def test_records_in_odd_pieces_type_the_same() -> None:
    records = record(EV_KEY, LEFT_SHIFT, DOWN) + stroke(KEY_A) + record(EV_KEY, LEFT_SHIFT, UP) + stroke(KEY_MINUS)
    decoder = KeyDecoder()
    assert b"".join(decoder.feed(records[n : n + 7]) for n in range(0, len(records), 7)) == b"A-"


@pytest.mark.fault
def test_two_scanners_that_type_at_once_are_kept_apart() -> None:
    first, second = KeyDecoder(), KeyDecoder()
    codes = {first: b"", second: b""}
    one, other = digits("1000000137"), digits("2000000138")
    for n in range(0, len(one), 24):
        codes[first] += first.feed(one[n : n + 24])
        codes[second] += second.feed(other[n : n + 24])
    assert list(codes.values()) == [b"1000000137\r", b"2000000138\r"]


@pytest.mark.fault
def test_a_code_of_which_the_kernel_dropped_keys_cannot_pass_for_another() -> None:
    stale = record(EV_SYN, SYN_DROPPED, 0) + record(EV_KEY, KEY_1, DOWN) + report()
    (frame,) = Framer().feed(typed(stroke(KEY_1), stale, digits("23")))
    assert (LOST, frame.kind, frame.text) == (b"\xff", "noise", "1\\xff23")


@pytest.mark.fault
@given(st.binary(max_size=2000), st.lists(st.integers(0, 2000), max_size=5))
def test_no_records_however_broken_or_cut_are_an_error(records: bytes, cuts: list[int]) -> None:
    edges = [0, *sorted(min(cut, len(records)) for cut in cuts), len(records)]
    decoder = KeyDecoder()
    pieces = (records[a:b] for a, b in itertools.pairwise(edges))
    assert b"".join(map(decoder.feed, pieces)) == typed(records)


def codes_by_name(prefix: str, chars: Iterable[str]) -> dict[int, str]:
    ecodes = pytest.importorskip("evdev").ecodes
    return {ecodes.ecodes[f"KEY_{prefix}{char.upper()}"]: char for char in chars}


def test_the_kernel_calls_the_keys_by_the_characters_that_we_type() -> None:
    """The names are those of linux/input-event-codes.h, as evdev was built with them."""
    named = codes_by_name("", "abcdefghijklmnopqrstuvwxyz0123456789") | codes_by_name("KP", "0123456789")
    punctuation = {
        "MINUS": "-", "EQUAL": "=", "LEFTBRACE": "[", "RIGHTBRACE": "]", "SEMICOLON": ";", "APOSTROPHE": "'",
        "GRAVE": "`", "BACKSLASH": "\\", "COMMA": ",", "DOT": ".", "SLASH": "/", "SPACE": " ", "TAB": "\t",
        "ENTER": "\r", "KPENTER": "\r", "KPASTERISK": "*", "KPMINUS": "-", "KPPLUS": "+", "KPDOT": ".", "KPSLASH": "/",
    }  # fmt: skip
    ecodes = pytest.importorskip("evdev").ecodes
    named |= {ecodes.ecodes[f"KEY_{name}"]: char for name, char in punctuation.items()}
    assert named == _PLAIN


def test_the_layout_of_the_records_is_the_kernels() -> None:
    """evdev's own event, built from our record, says the same."""
    evdev = pytest.importorskip("evdev")
    seconds, microseconds, kind, code, value = struct.unpack("llHHi", record(EV_KEY, KEY_A, DOWN))
    event = evdev.InputEvent(seconds, microseconds, kind, code, value)
    assert evdev.categorize(event).keycode == "KEY_A"
