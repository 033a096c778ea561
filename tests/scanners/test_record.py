"""A record of a bench's spool: as it was written, or not at all."""

from datetime import UTC

from hypothesis import given
from hypothesis import strategies as st

from scanners.age import Stamp
from scanners.record import Cleared, KeptScan, from_line, to_line
from shared.scan import Scan
from tests.scanners.remote_rig import Watch, read

scans = st.builds(
    Scan,
    read_id=st.text(),
    text=st.text(),
    at=st.datetimes(timezones=st.just(UTC)),
    device=st.text(),
    station=st.none() | st.text(),
    badge=st.none() | st.text(),
)
stamps = st.builds(Stamp, st.datetimes(timezones=st.just(UTC)), st.text(), st.floats(0, 1e9))
records = st.builds(KeptScan, scan=scans, stamp=stamps) | st.builds(Cleared, read_ids=st.lists(st.text()).map(tuple))

LINE = to_line(KeptScan(scan=read(1), stamp=Watch()())).strip()


@given(records)
def test_any_record_comes_back_as_it_was(record: KeptScan | Cleared) -> None:
    assert from_line(to_line(record).strip(b"\n")) == record


@given(records)
def test_a_record_is_one_line_whatever_was_read(record: KeptScan | Cleared) -> None:
    line = to_line(record)
    assert line.strip(b"\n").count(b"\n") == 0
    assert (line[:1], line[-1:]) == (b"\n", b"\n")


def test_any_bit_that_flips_is_seen() -> None:
    for byte in range(len(LINE)):
        for bit in range(8):
            damaged = bytearray(LINE)
            damaged[byte] ^= 1 << bit
            assert from_line(bytes(damaged)) is None


def test_a_checksum_in_capitals_is_not_what_was_written() -> None:
    lines = (to_line(KeptScan(scan=read(n), stamp=Watch()())).strip() for n in range(100))
    line = next(line for line in lines if line[:8].upper() != line[:8])
    assert from_line(line) is not None
    assert from_line(line[:8].upper() + line[8:]) is None


@given(st.binary())
def test_noise_is_no_record(noise: bytes) -> None:
    assert from_line(noise) is None


def test_a_whole_line_of_another_program_is_no_record() -> None:
    import zlib

    body = b'{"type":"kept","scan":{"read_id":"1"}}'
    assert from_line(b"%08x %b" % (zlib.crc32(body), body)) is None
