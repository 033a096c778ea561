"""A bench's spool on a disk that does not take what is given to it: nothing is lost, nothing is poisoned."""

import errno
import os
import resource
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from scanners import durable
from scanners.aside import Aside
from scanners.spool import Spool, SpoolError
from shared.scan import Scan
from tests.scanners.remote_rig import FIVE, Watch, filled, quick_folder, read, reads, reopened, set_aside, spool_with


@pytest.fixture
def path() -> Iterator[Path]:
    with quick_folder() as folder:
        yield folder / "bench.spool"


@contextmanager
def no_file_beyond(size: int) -> Iterator[None]:
    """The system refuses to let any file grow beyond a size."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.mark.fault
def test_a_file_at_its_limit_loses_nothing_and_takes_reads_again_when_it_may_grow(path: Path) -> None:
    with spool_with(path, *FIVE[:2]) as spool:
        with no_file_beyond(path.stat().st_size + 40), pytest.raises(SpoolError, match="File too large"):
            spool.put(FIVE[2])
        assert reads(spool) == FIVE[:2]
        spool.put(FIVE[3])
    with Spool(path, Watch()) as again:
        assert reads(again) == [FIVE[0], FIVE[1], FIVE[3]]
        assert again.damaged == 0, "half a record was left behind"


@pytest.mark.fault
def test_half_a_record_that_cannot_be_cut_off_spoils_no_other(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with spool_with(path, *FIVE[:2]) as spool:
        with monkeypatch.context() as patch:
            patch.setattr(Spool, "_mend", _raise(OSError(errno.EIO, "the disk is ill")))
            with no_file_beyond(path.stat().st_size + 40), pytest.raises(SpoolError):
                spool.put(FIVE[2])
        assert len(path.read_bytes()) > len(filled(path.with_name("other"), *FIVE[:2]))
        spool.put(FIVE[3])
        assert reads(spool) == [FIVE[0], FIVE[1], FIVE[3]]
    with Spool(path, Watch()) as again:
        assert reads(again) == [FIVE[0], FIVE[1], FIVE[3]]
        assert again.damaged == 0, "half a record was left behind"


@pytest.mark.fault
def test_a_read_whose_sync_failed_is_not_kept_not_even_after_a_restart(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with spool_with(path, FIVE[0]) as spool:
        with monkeypatch.context() as patch:
            patch.setattr(durable, "sync", _raise_once(OSError(errno.EIO, "the disk is ill"), durable.sync))
            with pytest.raises(SpoolError, match="the disk is ill"):
                spool.put(FIVE[1])
        assert reads(spool) == [FIVE[0]]
    assert reopened(path) == [FIVE[0]]


@pytest.mark.fault
def test_after_a_file_went_bad_the_spool_goes_on_in_a_new_one(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with spool_with(path, FIVE[0]) as spool:
        bad = path.stat().st_ino

        def sync(file: object) -> None:
            if os.fstat(file.fileno()).st_ino == bad:  # type: ignore[attr-defined]
                raise OSError(errno.EIO, "the disk is ill")

        monkeypatch.setattr(durable, "sync", sync)
        with pytest.raises(SpoolError):
            spool.put(FIVE[1])
        spool.put(FIVE[2])
        assert path.stat().st_ino != bad
    assert reopened(path) == [FIVE[0], FIVE[2]]


@pytest.mark.fault
def test_a_read_that_cannot_be_set_aside_still_waits(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with spool_with(path, FIVE[0]) as spool:
        with monkeypatch.context() as patch:
            patch.setattr(Aside, "add", _raise(OSError(errno.ENOSPC, "No space left on device")))
            with pytest.raises(SpoolError, match="No space left"):
                spool.set_aside(FIVE[0].read_id, "malformed")
        assert reads(spool) == [FIVE[0]]
        spool.set_aside(FIVE[0].read_id, "malformed")
        assert reads(spool) == []
    assert [aside["why"] for aside in set_aside(path)] == ["malformed"]


@pytest.mark.fault
@pytest.mark.root
@pytest.mark.skipif(os.geteuid() != 0, reason="needs to mount a small disk")
def test_a_full_disk_keeps_what_it_has_and_takes_reads_again_when_there_is_room(tmp_path: Path) -> None:
    mount = ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(tmp_path)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("this machine lets nobody mount")
    try:
        ballast = tmp_path / "ballast"
        with Spool(tmp_path / "spool", Watch()) as spool:
            ballast.write_bytes(b"x" * 32_768)
            kept = _put_until_refused(spool)
            assert reads(spool) == kept
        with Spool(tmp_path / "spool", Watch()) as restarted:
            assert reads(restarted) == kept
            ballast.unlink()
            restarted.put(read(10_000))
        assert reopened(tmp_path / "spool") == [*kept, read(10_000)]
        assert set_aside(tmp_path / "spool") == []
    finally:
        subprocess.run(["umount", str(tmp_path)], check=True)


def _put_until_refused(spool: Spool) -> list[Scan]:
    kept: list[Scan] = []

    def put_for_ever() -> None:
        for n in range(1_000):
            spool.put(read(n))
            kept.append(read(n))

    with pytest.raises(SpoolError, match="No space left"):
        put_for_ever()
    return kept


def _raise(error: OSError) -> Callable[..., None]:
    def fail(*_: object) -> None:
        raise error

    return fail


def _raise_once(error: OSError, then: Callable[..., None]) -> Callable[..., None]:
    errors = [error]

    def fail(*args: object) -> None:
        if errors:
            raise errors.pop()
        then(*args)

    return fail
