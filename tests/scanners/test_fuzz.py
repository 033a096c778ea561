"""Rubbish without end, and what it leaves behind."""

import random
import sys
from pathlib import Path

import pytest

from scanners.framing import FRAME_BYTES_MAX, Frame, Framer

ALPHABETS = (bytes(range(256)), b"0123456789\r\n", b"\x00\xff\r", b"\x02\x03\t\r\n]C0 ", b"x")
PAGE_BYTES = 4096


def resident_bytes() -> int:
    return int(Path("/proc/self/statm").read_text().split()[1]) * PAGE_BYTES


def feed_rubbish(framer: Framer, chunks: int, chance: random.Random) -> int:
    """Feed random chunks, look at every frame, and give back how many there were."""
    frames = 0
    for _ in range(chunks):
        alphabet = chance.choice(ALPHABETS)
        for frame in framer.feed(bytes(chance.choices(alphabet, k=chance.randrange(40)))):
            assert frame.text.isprintable()
            assert len(frame.text) <= 4 * FRAME_BYTES_MAX + 1
            frames += 1
        assert framer.held_bytes <= FRAME_BYTES_MAX
    return frames


def outlast(chunks: int) -> None:
    chance = random.Random(chunks)
    framer = Framer()
    feed_rubbish(framer, 10_000, chance)  # what Python keeps for itself is in place afterwards
    before = resident_bytes()
    frames = feed_rubbish(framer, chunks - 10_000, chance)
    assert resident_bytes() - before < 1_000_000
    assert frames > chunks / 10
    assert framer.feed(b"\r1000000137\r")[-1] == Frame("text", "1000000137")


linux_only = pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")


@linux_only
@pytest.mark.fault
def test_fifty_thousand_random_chunks_break_and_leave_nothing() -> None:
    outlast(50_000)


@linux_only
@pytest.mark.soak
def test_a_million_random_chunks_break_and_leave_nothing() -> None:
    outlast(1_100_000)
