"""The power may go at any moment: strace shows, fails or kills the system calls of a commit one by one."""

import re
import shutil
import subprocess
import sys
import tempfile
from itertools import groupby
from pathlib import Path

import pytest

from floor.ledger.check import first_trouble
from floor.ledger.sqlite import Build, SqliteLedger
from tests.floor.ledger import children
from tests.floor.ledger.facts import a_read, append

pytestmark = [
    pytest.mark.fault,
    pytest.mark.skipif(not shutil.which("strace"), reason="what a power cut leaves was NOT tested: no strace"),
]
unmended: Build = (3, 40, 1)
mended: Build = (3, 51, 3)
calls = "pwrite64,fdatasync,fsync,unlink,write"


def trace(file: Path, build: Build, ids: list[str], *inject: str) -> tuple[list[str], list[str]]:
    """Let a child append reads under strace: what it said, and its system calls in order."""
    log = file.with_suffix(".strace")
    watch = ["strace", "-f", "-y", "-qq", "-e", f"trace={calls}", *inject, "-o", str(log)]
    program = [sys.executable, "-m", children.__name__, f"sqlite:///{file}", ".".join(map(str, build)), *ids]
    child = subprocess.run([*watch, *program], check=False, capture_output=True, text=True, timeout=60)
    assert not child.stderr, child.stderr
    return child.stdout.splitlines(), log.read_text().splitlines()


def steps(log: list[str], file: Path) -> list[str]:
    """System calls as "sync journal", "write db", "ack r-1"; others, such as those for shared memory, as ""."""
    names = {file.name: "db", f"{file.name}-journal": "journal", f"{file.name}-wal": "wal", file.parent.name: "folder"}
    verbs = {"pwrite64": "write", "fdatasync": "sync", "fsync": "sync", "unlink": "unlink"}
    found = []
    for line in log:
        call = re.match(r'\d+ +(\w+)\((?:\d+<([^>]*)>|"([^"]*)")', line)
        ack = re.search(r'"acked (\S+)\\n"', line)
        name = names.get(Path(call[2] or call[3]).name) if call else None
        found.append(f"ack {ack[1]}" if ack else f"{verbs[call[1]]} {name}" if call and name else "")
    return found


def second_commit(said: list[str], log: list[str], file: Path) -> tuple[int, list[str]]:
    """Where the commit of r-2 begins among the system calls, and its steps."""
    assert said == ["acked r-1", "acked r-2", "acked r-3"]
    done = steps(log, file)
    first = done.index("ack r-1") + 1
    return first, done[first : done.index("ack r-2")]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A ledger that has one row already, in a folder of its own."""
    folder = tmp_path / "shop"
    folder.mkdir()
    ledger = SqliteLedger(f"sqlite:///{folder}/ledger.db")
    append(ledger, a_read("r-0"))
    ledger.close()
    return folder / "ledger.db"


def again(file: Path) -> Path:
    """The same ledger in another folder, to come to grief in."""
    folder = Path(tempfile.mkdtemp(dir=file.parent.parent, prefix="copy")) / "shop"
    folder.mkdir()
    return Path(shutil.copy(file, folder))


reads = ["r-1", "r-2", "r-3"]
whole_commit: dict[Build, list[str]] = {
    unmended: [
        "write journal",
        "sync journal",
        "sync folder",
        "write journal",
        "sync journal",
        "write db",
        "sync db",
        "unlink journal",
        "sync folder",
    ],
    mended: ["write wal", "sync wal"],
}
builds = pytest.mark.parametrize("build", [unmended, mended], ids=["rollback journal", "write-ahead log"])


@builds
def test_all_is_written_then_synced_then_acknowledged(file: Path, build: Build) -> None:
    _, commit = second_commit(*trace(file, build, reads), file)
    assert [step for step, _ in groupby(commit)] == whole_commit[build]


def nth_call(log: list[str], at: int) -> tuple[str, int]:
    """The name of a system call, and the how manyth of that name it is."""
    name_of = [line.split("(")[0].split()[1] for line in log]
    return name_of[at], name_of[: at + 1].count(name_of[at])


@builds
def test_killed_at_any_sync_or_write_of_a_commit_it_is_whole_when_opened_again(file: Path, build: Build) -> None:
    sound = again(file)
    said, log = trace(sound, build, reads)
    first, commit = second_commit(said, log, sound)
    at = [n for n, step in enumerate(commit) if not step.startswith("write") or n % 4 == 0 or step == "write db"]
    for n in at:
        name, when = nth_call(log, first + n)
        copy = again(file)
        said, _ = trace(copy, build, reads, "-e", f"inject={name}:signal=KILL:when={when}")
        assert said == ["acked r-1"]
        ledger = SqliteLedger(f"sqlite:///{copy}", build=build)
        assert [row.read_id for row in ledger.rows()] in (["r-0", "r-1"], ["r-0", "r-1", "r-2"])
        assert first_trouble(ledger) is None
        append(ledger, a_read("r-4"))
        ledger.close()


@builds
def test_a_sync_that_fails_is_not_acknowledged_and_ends_the_writing(file: Path, build: Build) -> None:
    sound = again(file)
    said, log = trace(sound, build, reads)
    first, commit = second_commit(said, log, sound)
    syncs = [n for n, step in enumerate(commit) if step.startswith("sync")]
    syncs = [n for n in syncs if commit[n] != "sync folder" or n == len(commit) - 1]
    for n in syncs:
        name, when = nth_call(log, first + n)
        copy = again(file)
        said, _ = trace(copy, build, reads, "-e", f"inject={name}:error=EIO:when={when}")
        assert said == ["acked r-1", "Broken r-2", "Broken r-3"]
        ledger = SqliteLedger(f"sqlite:///{copy}", build=build)
        assert {"r-0", "r-1"} <= {row.read_id for row in ledger.rows()} <= {"r-0", "r-1", "r-2"}
        assert first_trouble(ledger) is None
        ledger.close()
