"""Processes are killed, frozen and starved while they write; nothing that was acknowledged is lost."""

import itertools
import os
import random
import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from floor.ledger import Ledger, Unavailable, Writer
from floor.ledger.check import first_trouble
from floor.ledger.postgres import PostgresLedger
from floor.ledger.sqlite import SqliteLedger
from tests.floor.ledger import children
from tests.floor.ledger.facts import Tally, a_read, append, noon, once
from tests.measured import WAIT_S

pytestmark = pytest.mark.fault
Open = Callable[[str], Ledger]


def check(ledger: Ledger, sent: set[str], acked: set[str]) -> None:
    """Acknowledged is stored, stored was sent, nothing twice, no hole, and nothing changed."""
    ids = [row.read_id for row in ledger.rows()]
    assert len(ids) == len(set(ids)), "a read is in the ledger twice"
    assert acked <= set(ids), f"acknowledged but lost: {sorted(acked - set(map(str, ids)))[:5]}"
    assert set(ids) <= sent, "in the ledger, but nobody sent it"
    assert first_trouble(ledger) is None


def kill_at_random(url: str, ledger: Ledger, times: int) -> None:
    """Kill a busy writer again and again; each time the next one first sends what was left unanswered."""
    chance = random.Random(times)
    sent: set[str] = set()
    acked: set[str] = set()
    for life in range(times):
        child = children.start(children.keep_writing, url, sorted(sent - acked), f"life-{life}")
        lives_for = chance.randrange(1, 60)
        child.listen(until=lambda child=child, lives_for=lives_for: len(child.acked) >= lives_for)  # type: ignore[misc]
        child.end()
        sent |= child.sent
        acked |= child.acked
        check(ledger, sent, acked)
    last = children.start(children.write_these, url, sorted(sent - acked))
    last.listen()
    check(ledger, sent, acked | last.acked)
    assert len(acked | last.acked) == len(sent) == ledger.head()


def test_a_writer_that_is_killed_at_random_loses_nothing_it_acknowledged(url: str, opened: Open) -> None:
    kill_at_random(url, opened(url), times=10)


@pytest.mark.soak
def test_a_writer_that_is_killed_two_hundred_times_loses_nothing(url: str, opened: Open) -> None:
    kill_at_random(url, opened(url), times=200)


@pytest.mark.parametrize(("one", "two"), list(itertools.product(children.points, repeat=2)))
def test_killed_at_any_two_points_in_a_row_nothing_is_lost_or_doubled(
    one: str, two: str, tmp_path: Path, opened: Open
) -> None:
    url = f"sqlite:///{tmp_path}/ledger.db"
    ledger = opened(url)
    acked: set[str] = set()
    for point in (one, two, None):
        ids = [read_id for read_id in ("r-1", "r-2", "r-3") if read_id not in acked]
        child = children.start(children.die_at, url, point, ids)
        child.listen()
        acked |= child.acked
        check(ledger, {"r-1", "r-2", "r-3"}, acked)
        child.process.join(WAIT_S)
        assert child.process.exitcode == (-signal.SIGKILL if point else 0)
    assert acked == {"r-1", "r-2", "r-3"}


def test_processes_that_append_at_once_leave_no_gap_and_lose_no_row(url: str, opened: Open) -> None:
    ledger = opened(url)
    writers = [children.start(children.append_many, url, name, 40) for name in ("a", "b")]
    for writer in writers:
        writer.listen()
    acked = writers[0].acked | writers[1].acked
    assert len(acked) == 80
    check(ledger, acked, acked)


@pytest.mark.parametrize("kind", ["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def test_a_holder_of_the_lock_that_froze_stops_nobody_for_long(
    kind: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    ledger: SqliteLedger | PostgresLedger
    if kind == "sqlite":
        ledger = SqliteLedger(f"sqlite:///{tmp_path}/ledger.db", busy_timeout_s=0.1)
    else:
        ledger = PostgresLedger(request.getfixturevalue("postgres_url"), lock_timeout_s=0.1)
    holder = children.start(children.hold_the_lock, ledger._writing.url.render_as_string(False))
    holder.listen(until=lambda: bool(holder.said))
    assert holder.process.pid
    os.kill(holder.process.pid, signal.SIGSTOP)
    with pytest.raises(Unavailable):
        append(ledger, a_read("r-1"))
    assert ledger.head() == 0
    holder.end()
    ledger.close()
    patient = type(ledger)(ledger._writing.url.render_as_string(False))
    append(patient, a_read("r-1"))
    check(patient, {"r-1"}, {"r-1"})
    patient.close()


def test_when_files_may_not_grow_the_writing_stops_until_it_is_opened_anew(tmp_path: Path, opened: Open) -> None:
    url = f"sqlite:///{tmp_path}/ledger.db"
    ledger = opened(url)
    child = children.start(children.fill_up, url, 40_000)
    child.listen()
    assert [said.split(":")[:2] for said in child.said] == [
        ["before", " Broken"],
        ["still", " Broken"],
        ["in vain", " Broken"],
        ["trouble", " None"],
    ]
    assert "after" in child.acked
    assert len(child.acked) > 10
    check(ledger, child.sent | {"after"}, child.acked)


@pytest.mark.root
def test_a_full_disk_refuses_and_goes_on_when_there_is_room(small_disk: Path, opened: Open) -> None:
    ballast = small_disk / "ballast"
    ballast.write_bytes(b"x" * 200_000)
    ledger = opened(f"sqlite:///{small_disk}/ledger.db")
    tally = Tally(ledger)
    acked: set[str] = set()
    with Writer(ledger, tally.fold, tally.rebuild, lambda: noon) as writer:
        for n in range(1_000):
            answer = writer.submit(once(f"r-{n}"))
            if answer.exception(WAIT_S):
                break
            acked.add(f"r-{n}")
        assert isinstance(answer.exception(), Unavailable)
        assert "make room on the disk" in str(answer.exception())
        assert len(acked) > 10
        ballast.unlink()
        assert writer.submit(once(f"r-{n}")).result(WAIT_S) == "recorded"
    check(ledger, acked | {f"r-{n}"}, acked | {f"r-{n}"})
    assert tally.rows == list(range(1, n + 2))
    ledger.close()
