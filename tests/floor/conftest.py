"""A disk that can be filled, and made read-only."""

import os
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of half a megabyte."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=512k", "tmpfs", str(disk)]
    if os.geteuid() != 0 or subprocess.run(mount, check=False, capture_output=True).returncode != 0:
        pytest.skip("a full disk was NOT tested: no right to mount one")
    yield disk
    subprocess.run(["umount", "--lazy", str(disk)], check=True)  # a thread may be about to let go of a file
