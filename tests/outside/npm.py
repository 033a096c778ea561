"""Packages of the npm registry that tests hold our files against; never a part of the program.

They are kept in a cache folder outside of the project, and fetched once.
"""

import os
import shutil
import subprocess
import tarfile
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NoReturn

import pytest
from filelock import FileLock

FETCH_S_MAX = 120


def package(name: str, version: str) -> Path:
    """The folder of a package. Where there is no npm, or no registry, the test is skipped; in CI it fails."""
    folder = _cache() / f"{name}-{version}"
    folder.parent.mkdir(parents=True, exist_ok=True)
    with FileLock(f"{folder}.lock"):  # tests run beside each other
        if not folder.exists():
            _fetch(name, version, folder)
    return folder


def _cache() -> Path:
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "piecewalk-tests"


def _fetch(name: str, version: str, folder: Path) -> None:
    npm = shutil.which("npm")
    if npm is None:
        _without(name, "there is no npm here")
    with TemporaryDirectory(dir=folder.parent) as place:
        pack = [npm, "pack", f"{name}@{version}", "--pack-destination", place]
        try:
            subprocess.run(pack, cwd=place, check=True, capture_output=True, text=True, timeout=FETCH_S_MAX)
        except (subprocess.SubprocessError, OSError) as error:
            _without(name, f"npm could not fetch it: {getattr(error, 'stderr', None) or error}")
        (archive,) = Path(place).glob("*.tgz")
        with tarfile.open(archive) as packed:
            packed.extractall(place, filter="data")
        shutil.move(Path(place) / "package", folder)


def _without(name: str, why: str) -> NoReturn:
    said = f"nothing was held against {name}: {why}"
    if "CI" in os.environ:
        pytest.fail(said)
    pytest.skip(said)
