"""A bench's spool: what was kept is there, in order, until it is cleared."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scanners import durable
from scanners.record import KeptScan, to_line
from scanners.spool import MARKS_MAX, Spool, SpoolError, SpoolFull
from shared.scan import Scan
from tests.scanners.remote_rig import FIVE, Watch, filled, quick_folder, read, reads, reopened, spool_with


@pytest.fixture
def path() -> Iterator[Path]:
    with quick_folder() as folder:
        yield folder / "bench.spool"


def test_reads_wait_in_the_order_in_which_they_came(path: Path) -> None:
    with spool_with(path, *FIVE) as spool:
        assert reads(spool) == FIVE


def test_reads_are_there_after_a_restart(path: Path) -> None:
    filled(path, *FIVE)
    assert reopened(path) == FIVE


def test_a_read_is_on_the_disk_when_put_returns(path: Path) -> None:
    with spool_with(path, read(1)):
        assert to_line(KeptScan(scan=read(1), stamp=Watch()())) in path.read_bytes()


def test_a_read_is_synced_before_put_returns(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    synced: list[int] = []
    with spool_with(path) as spool:
        monkeypatch.setattr(durable, "sync", lambda file: synced.append(os.fstat(file.fileno()).st_size))
        spool.put(read(1))
        assert synced == [path.stat().st_size]


def test_the_folder_is_synced_when_the_spool_is_new(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    synced: list[Path] = []
    monkeypatch.setattr(durable, "sync_folder", synced.append)
    filled(path)
    assert synced == [path.parent]


def test_a_cleared_read_waits_no_longer_not_even_after_a_restart(path: Path) -> None:
    with spool_with(path, *FIVE) as spool:
        spool.clear([FIVE[1].read_id, FIVE[3].read_id])
        assert reads(spool) == [FIVE[0], FIVE[2], FIVE[4]]
    assert reopened(path) == [FIVE[0], FIVE[2], FIVE[4]]


def test_clearing_does_not_write_the_file_anew(path: Path) -> None:
    before = filled(path, *FIVE)
    with spool_with(path) as spool:
        spool.clear([FIVE[0].read_id])
        assert path.read_bytes().startswith(before)


def test_a_spool_from_which_all_is_cleared_is_empty_on_the_disk_too(path: Path) -> None:
    with spool_with(path, *FIVE) as spool:
        spool.clear([scan.read_id for scan in FIVE])
        assert path.read_bytes() == b""


def test_the_file_does_not_grow_for_ever_while_one_read_always_waits(path: Path) -> None:
    with spool_with(path, read(0)) as spool:
        for n in range(1, 3 * MARKS_MAX):
            spool.put(read(n))
            spool.clear([read(n - 1).read_id])
        assert path.stat().st_size < 2 * MARKS_MAX * len(to_line(KeptScan(scan=read(1), stamp=Watch()())))
    assert reopened(path) == [read(3 * MARKS_MAX - 1)]


def test_a_read_that_waits_already_is_kept_once(path: Path) -> None:
    with spool_with(path, read(1), read(1)) as spool:
        assert reads(spool) == [read(1)]


def test_a_read_is_kept_with_the_moment_at_which_it_was(path: Path) -> None:
    watch = Watch()
    with spool_with(path, read(1), watch=watch):
        watch.pass_s(60)
    with Spool(path, watch) as spool:
        assert spool.pending(1)[0].stamp == Watch()()


def test_a_full_spool_takes_no_more_and_loses_nothing(path: Path) -> None:
    with Spool(path, Watch(), reads_max=3) as spool:
        for scan in FIVE[:3]:
            spool.put(scan)
        with pytest.raises(SpoolFull, match="3 reads wait already"):
            spool.put(FIVE[3])
        spool.clear([FIVE[0].read_id])
        spool.put(FIVE[3])
        assert reads(spool) == FIVE[1:4]


def test_a_spool_is_open_to_one_program_at_a_time(path: Path) -> None:
    with spool_with(path), pytest.raises(SpoolError, match="in use"):
        Spool(path, Watch())
    assert reopened(path) == []


def test_a_closed_spool_takes_nothing_and_minds_no_late_clearing(path: Path) -> None:
    with spool_with(path, read(1)) as spool:
        pass
    with pytest.raises(SpoolError, match="closing"):
        spool.put(read(2))
    spool.clear([read(1).read_id])
    assert reopened(path) == [read(1)]


steps = st.lists(st.tuples(st.sampled_from(["put", "clear", "restart"]), st.integers(0, 9)), max_size=40)


@given(steps)
def test_a_spool_is_a_queue_whatever_is_done_with_it(steps: list[tuple[str, int]]) -> None:
    with quick_folder() as folder:
        waiting: dict[str, Scan] = {}
        spool = Spool(folder / "spool", Watch())
        for what, number in steps:
            scan = read(number)
            if what == "put":
                spool.put(scan)
                waiting.setdefault(scan.read_id, scan)
            elif what == "clear":
                spool.clear([scan.read_id])
                waiting.pop(scan.read_id, None)
            else:
                spool.close()
                spool = Spool(folder / "spool", Watch())
            assert reads(spool) == list(waiting.values())
        spool.close()


def test_a_spool_that_could_not_be_read_is_let_go_of(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    filled(path, *FIVE)

    def full(_folder: Path) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as disk:
        disk.setattr(durable, "sync_folder", full)
        with pytest.raises(SpoolError) as error:
            Spool(path, Watch())
    assert reopened(path) == FIVE
    assert error.value, "whoever holds the error holds all that it came through"
