"""What is written stays written, or somebody hears of it."""

import errno
import os
from pathlib import Path
from typing import BinaryIO, cast

import pytest

from scanners import durable


class NarrowFile:
    """Takes three bytes at a time, and so many in all: as a disk that fills up does."""

    def __init__(self, room: int) -> None:
        self.room = room
        self.taken = b""

    def write(self, data: memoryview) -> int:
        part = bytes(data[: min(3, self.room - len(self.taken))])
        if not part:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        self.taken += part
        return len(part)


def test_a_short_write_goes_on_with_the_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    synced: list[object] = []
    monkeypatch.setattr(durable, "sync", synced.append)
    file = NarrowFile(room=100)
    durable.append(cast(BinaryIO, file), b"1000000137\n")
    assert file.taken == b"1000000137\n"
    assert synced == [file]


@pytest.mark.fault
def test_a_full_disk_is_an_error_and_nothing_is_called_synced(monkeypatch: pytest.MonkeyPatch) -> None:
    synced: list[object] = []
    monkeypatch.setattr(durable, "sync", synced.append)
    file = NarrowFile(room=7)
    with pytest.raises(OSError, match="No space left"):
        durable.append(cast(BinaryIO, file), b"1000000137\n")
    assert synced == []


def test_a_file_is_replaced_whole_and_nothing_else_is_left(tmp_path: Path) -> None:
    file = tmp_path / "spool"
    file.write_bytes(b"old")
    durable.replace(file, [b"new ", b"contents"])
    assert file.read_bytes() == b"new contents"
    assert list(tmp_path.iterdir()) == [file]


@pytest.mark.fault
def test_a_replacement_that_fails_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(_: object) -> None:
        raise OSError(errno.EIO, "the disk is ill")

    file = tmp_path / "spool"
    file.write_bytes(b"old")
    monkeypatch.setattr(durable, "sync", fail)
    with pytest.raises(OSError, match="ill"):
        durable.replace(file, [b"new"])
    assert file.read_bytes() == b"old"
