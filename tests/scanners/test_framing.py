"""What a framer makes of a scanner's bytes."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scanners.framing import FRAME_BYTES_MAX, Frame, Framer

CODE = b"1000000137"
READ = Frame("text", "1000000137")

MIXED = (
    b"1000000137\r\n\x022000000138\x03\r]C01000000137\t\x00\xff\x80\r"
    + b"x" * 150
    + b"\n\n\r\n1000000137\r\x06\r12\x1d34\r\n   \r1000000137\t"
)
"""Every terminator, prefix, noise, a frame that is too long, and nothing at all."""


def fed(*chunks: bytes) -> list[Frame]:
    framer = Framer()
    return [frame for chunk in chunks for frame in framer.feed(chunk)]


@pytest.mark.parametrize("end", [b"\r", b"\n", b"\r\n", b"\t", b"\x03", b"\x03\r\n"])
def test_any_usual_end_ends_a_code(end: bytes) -> None:
    assert fed(CODE + end + CODE + end) == [READ, READ]


def test_a_code_between_stx_and_etx_is_read_once() -> None:
    assert fed(b"\x02" + CODE + b"\x03") == [READ]


def test_what_came_before_stx_is_a_read_of_its_own() -> None:
    assert fed(b"?#\x02" + CODE + b"\x03") == [Frame("text", "?#"), READ]


def test_a_code_whose_end_is_torn_in_two_is_read_once() -> None:
    assert fed(CODE + b"\r", b"\n" + CODE + b"\r") == [READ, READ]


def test_empty_frames_are_nothing() -> None:
    assert fed(b"\r\n\r\n\t\x02\x03 \r") == []


def test_a_code_that_has_not_ended_is_not_read_yet() -> None:
    assert fed(CODE) == []


def test_an_aim_prefix_is_left_for_those_who_know_codes() -> None:
    assert fed(b"]C0" + CODE + b"\r") == [Frame("text", "]C01000000137")]


@pytest.mark.fault
def test_every_cut_of_a_stream_gives_the_same_frames() -> None:
    whole = fed(MIXED)
    kinds = [frame.kind for frame in whole]
    assert kinds == ["text", "text", "text", "noise", "too long", "text", "noise", "text"]
    for cut in range(len(MIXED) + 1):
        assert fed(MIXED[:cut], MIXED[cut:]) == whole, f"cut at {cut}"


@pytest.mark.fault
def test_a_stream_in_single_bytes_gives_the_same_frames() -> None:
    assert fed(*(MIXED[n : n + 1] for n in range(len(MIXED)))) == fed(MIXED)


SCANNER_LIKE = st.lists(
    st.one_of(
        st.sampled_from(
            [CODE, b"\r", b"\n", b"\r\n", b"\t", b"\x02", b"\x03", b"]C0", b"\x00", b"\xff", b" ", b"\x06"]
        ),
        st.binary(max_size=80),
    ),
    max_size=30,
).map(b"".join)


@pytest.mark.fault
@given(SCANNER_LIKE, st.lists(st.integers(0, 400), max_size=12))
def test_however_a_stream_is_cut_the_frames_are_the_same(stream: bytes, cuts: list[int]) -> None:
    edges = [0, *sorted(min(cut, len(stream)) for cut in cuts), len(stream)]
    pieces = [stream[a:b] for a, b in itertools.pairwise(edges)]
    assert fed(*pieces) == fed(stream)


@pytest.mark.fault
@given(SCANNER_LIKE)
def test_after_any_noise_and_an_end_the_next_code_is_read(noise: bytes) -> None:
    assert fed(noise, b"\r", CODE, b"\r")[-1] == READ


@pytest.mark.fault
@given(SCANNER_LIKE)
def test_whatever_came_can_be_printed(noise: bytes) -> None:
    for frame in fed(noise + b"\r"):
        assert frame.text.isprintable()
        assert frame.text.removesuffix("…").isascii()
        assert 0 < len(frame.text) <= 4 * FRAME_BYTES_MAX + 1


@pytest.mark.fault
def test_a_scanner_stuck_on_x_is_reported_once_and_fills_no_memory() -> None:
    framer = Framer()
    frames = [frame for _ in range(1000) for frame in framer.feed(b"x" * 1000)]
    assert frames == [Frame("too long", "x" * 64 + "…")]
    assert framer.held_bytes <= FRAME_BYTES_MAX
    assert framer.feed(b"\r" + CODE + b"\r") == [READ]


def test_the_longest_frame_is_read_and_one_byte_more_is_not() -> None:
    assert fed(b"7" * 64 + b"\r") == [Frame("text", "7" * 64)]
    assert fed(b"7" * 65 + b"\r") == [Frame("too long", "7" * 64 + "…")]


def test_a_code_in_a_frame_that_is_too_long_does_not_pass_for_the_code() -> None:
    assert [frame.text == "1000000137" for frame in fed(CODE + b" " * 60 + b"\r")] == [False]


@pytest.mark.parametrize("noise", [b"\x00", b"12\x0034", b"\xff\xfe", b"12\x1b[2J34", b"12\x1d34", "écru".encode()])
def test_noise_is_one_record_that_a_person_can_read(noise: bytes) -> None:
    (frame,) = fed(noise + b"\r")
    assert frame.kind == "noise"
    assert frame.text == "".join(chr(b) if 0x20 <= b < 0x7F else f"\\x{b:02x}" for b in noise)


def test_a_code_sent_with_the_wrong_parity_is_noise_and_the_next_is_read() -> None:
    even_parity = bytes(byte | 0x80 if byte.bit_count() % 2 else byte for byte in CODE)
    assert [frame.kind for frame in fed(even_parity + b"\r" + CODE + b"\r")] == ["noise", "text"]


@pytest.mark.parametrize("around", [b"\x00", b" ", b"\x11", b"\x00\x00\x13"])
def test_controls_around_a_code_do_not_spoil_it(around: bytes) -> None:
    assert fed(around + CODE + around + b"\r") == [READ]


@pytest.mark.parametrize("talk", [b"\x06", b"\x15\x07", b"\x11", b"\x13\x11"])
def test_talk_of_the_wire_alone_is_no_read(talk: bytes) -> None:
    framer = Framer()
    assert framer.feed(talk) + framer.idle(99) == []


def test_a_scanner_that_never_ends_its_codes_is_read_after_a_gap() -> None:
    framer = Framer(gap_s=0.25, patience_s=2)
    assert framer.feed(CODE) == []
    assert framer.idle(0.2) == []
    assert framer.idle(0.25) == [READ]
    assert framer.idle(0.5) == []


def test_a_scanner_that_ends_its_codes_is_waited_for() -> None:
    framer = Framer(gap_s=0.25, patience_s=2)
    framer.feed(b"2000000138\r10000")
    assert framer.idle(1.9) == []
    assert framer.feed(b"00137\r") == [READ]


def test_half_a_code_is_given_up_in_the_end_and_does_not_spoil_the_next() -> None:
    framer = Framer(gap_s=0.25, patience_s=2)
    framer.feed(b"2000000138\r10000")
    assert framer.idle(2) == [Frame("text", "10000")]
    assert framer.feed(CODE + b"\r") == [READ]


def test_after_silence_what_was_too_long_is_over() -> None:
    framer = Framer()
    framer.feed(b"x" * 100)
    assert framer.idle(2) == []
    assert framer.feed(CODE + b"\r") == [READ]


def test_what_is_held_can_be_dropped() -> None:
    framer = Framer()
    framer.feed(b"10000")
    framer.drop()
    assert framer.feed(CODE + b"\r") == [READ]
