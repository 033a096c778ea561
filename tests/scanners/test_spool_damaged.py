"""A bench's spool whose file is not what was written: every whole record is found, and no wrong one."""

import os
import random
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scanners.forward import delivery
from scanners.spool import FILE_BYTES_MAX, Spool, SpoolError
from tests.scanners.remote_rig import (
    FIVE,
    GONE,
    Watch,
    Way,
    accepted,
    filled,
    quick_folder,
    read,
    reads,
    reopened,
    set_aside,
    spool_with,
)
from tests.scanners.rig import NOON


@pytest.fixture
def path() -> Iterator[Path]:
    with quick_folder() as folder:
        yield folder / "bench.spool"


@pytest.mark.fault
def test_a_file_that_ends_anywhere_gives_the_reads_before_that_and_at_most_one_bad_line(path: Path) -> None:
    whole = filled(path, *FIVE[:3])
    for end in range(len(whole)):
        path.write_bytes(whole[:end])
        with Spool(path, Watch()) as spool:
            found = reads(spool)
            assert found == FIVE[: len(found)]
            assert len(found) >= whole[: end + 1].count(b"}\n")
            assert spool.damaged <= 1


@pytest.mark.fault
def test_after_a_torn_end_the_next_reads_are_kept_as_ever(path: Path) -> None:
    whole = filled(path, *FIVE[:3])
    for end in range(0, len(whole), 7):
        path.write_bytes(whole[:end])
        with spool_with(path, *FIVE[3:]) as spool:
            found = reads(spool)
        assert found[-2:] == FIVE[3:]
        assert reopened(path) == found


@pytest.mark.fault
def test_a_bit_that_flips_costs_one_record_at_most_and_gives_no_wrong_one(path: Path) -> None:
    whole = filled(path, *FIVE)
    luck = random.Random(20261127)
    for _ in range(3_000):
        at, bit = luck.randrange(len(whole)), luck.randrange(8)
        damaged = bytearray(whole)
        damaged[at] ^= 1 << bit
        path.write_bytes(damaged)
        with Spool(path, Watch()) as spool:
            found = reads(spool)
        assert found == [scan for scan in FIVE if scan in found]
        assert len(found) >= len(FIVE) - 1


@pytest.mark.fault
@settings(max_examples=50)
@given(st.binary(max_size=300), st.integers(min_value=0))
def test_garbage_in_the_middle_costs_the_record_that_it_fell_into_and_no_other(garbage: bytes, where: int) -> None:
    with quick_folder() as folder:
        path = folder / "spool"
        whole = filled(path, *FIVE)
        at = where % len(whole)
        path.write_bytes(whole[:at] + garbage + whole[at:])
        found = reopened(path)
        assert found == [scan for scan in FIVE if scan in found]
        assert len(found) >= len(FIVE) - 1


@pytest.mark.fault
def test_what_is_damaged_is_set_aside_once_with_the_reason(path: Path) -> None:
    whole = filled(path, *FIVE)
    path.write_bytes(whole.replace(b"read-000002", b"read-000009"))
    with Spool(path, Watch()) as spool:
        assert spool.damaged == 1
    assert reopened(path) == [FIVE[0], FIVE[1], FIVE[3], FIVE[4]]
    (aside,) = set_aside(path)
    assert (aside["why"], aside["at"]) == ("damaged", NOON.isoformat().replace("+00:00", "Z"))
    assert "read-000009" in aside["record"]


@pytest.mark.fault
def test_a_spool_of_which_nothing_is_left_is_an_empty_one(path: Path) -> None:
    path.write_bytes(b"")
    assert reopened(path) == []
    path.write_bytes(os.urandom(1_000))
    with spool_with(path, read(1)) as spool:
        assert reads(spool) == [read(1)]


@pytest.mark.fault
def test_a_folder_is_no_spool(path: Path) -> None:
    path.mkdir()
    with pytest.raises(SpoolError, match="is no file"):
        Spool(path, Watch())


@pytest.mark.fault
@pytest.mark.parametrize("size", [100_000, FILE_BYTES_MAX + 1])
def test_somebody_elses_file_is_left_as_it_is(path: Path, size: int) -> None:
    with path.open("wb") as file:
        file.truncate(size)
    with pytest.raises(SpoolError, match="move it away"):
        Spool(path, Watch())
    assert path.stat().st_size == size


@contextmanager
def as_nobody(folder: Path) -> Iterator[None]:
    """Without the powers of root, which may write anything; as the owner of the folder for anybody else."""
    if os.geteuid() != 0:
        yield
        return
    os.chown(folder, 65_534, -1)
    os.seteuid(65_534)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.mark.fault
def test_a_spool_that_may_not_be_written_to_says_so(path: Path) -> None:
    filled(path, read(1))
    path.chmod(0o444)
    with as_nobody(path.parent), pytest.raises(SpoolError, match=r"Permission denied: see that it may be written"):
        Spool(path, Watch())
    assert reopened(path) == [read(1)]


def deleted(path: Path) -> None:
    path.unlink()


def replaced(path: Path) -> None:
    path.rename(path.with_name("aside"))
    path.write_bytes(b"")


def cut_off(path: Path) -> None:
    os.truncate(path, path.stat().st_size // 2)


def written_to(path: Path) -> None:
    path.write_bytes(b"x" * 100)


@pytest.mark.fault
@pytest.mark.parametrize("harm", [deleted, replaced, cut_off, written_to])
def test_what_waits_is_on_the_disk_again_with_the_next_read_whatever_became_of_the_file(
    path: Path, harm: Callable[[Path], None]
) -> None:
    with spool_with(path, *FIVE[:3]) as spool:
        harm(path)
        spool.put(FIVE[3])
        after_a_crash = path.with_name("copy")
        after_a_crash.write_bytes(path.read_bytes())
        assert reads(spool) == FIVE[:4]
        spool.clear([FIVE[0].read_id])
    assert reopened(after_a_crash) == FIVE[:4]
    assert reopened(path) == FIVE[1:4]


@pytest.mark.fault
def test_damage_in_what_the_floor_has_answered_already_has_it_sent_again_under_its_id(tmp_path: Path) -> None:
    """What was cleared by the damaged mark waits again: the floor knows it by its id, and counts it once."""
    way = Way(tmp_path)
    way.keep(0, 1)
    way.floor.next = [accepted([delivery(kept, way.watch()) for kept in way.spool.pending(1)]), GONE]
    way.forwarder.step()
    way.forwarder.step()
    way.close()
    whole = way.path.read_bytes()
    assert whole.count(b"cleared") == 1
    way.path.write_bytes(whole.replace(b"cleared", b"clearxd"))
    way.open()
    way.until_idle()
    assert way.floor.ids == [["read-000000", "read-000001"], ["read-000001"], ["read-000000", "read-000001"]]
    assert way.spool.damaged == 1
    way.close()
