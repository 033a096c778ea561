"""The writer: one thread, shared commits, answers that are never given too early."""

import threading
from collections.abc import Sequence
from concurrent.futures import wait
from datetime import UTC, datetime
from itertools import count
from typing import Any

import pytest

from floor.ledger import Busy, Ledger, Lookup, Stopped, Unavailable, Writer
from floor.ledger.memory import MemoryTransaction
from floor.ledger.row import Replayed
from shared.events.recorded import Fact
from tests.floor.ledger.facts import Tally, a_read, append, noon, once
from tests.floor.ledger.gate import GatedLedger, commit_held
from tests.measured import WAIT_S


def test_the_answer_comes_after_the_commit(gated: GatedLedger, writer: Writer) -> None:
    answer = commit_held(gated, writer)
    assert not answer.done()
    assert gated.head() == 0
    gated.gate.set()
    assert answer.result(WAIT_S) == "recorded"
    assert gated.head() == 1


def test_reads_that_arrive_during_a_commit_share_the_next_one(gated: GatedLedger, writer: Writer) -> None:
    answers = [commit_held(gated, writer)] + [writer.submit(once(f"r-{n}")) for n in range(20)]
    gated.gate.set()
    assert [answer.result(WAIT_S) for answer in answers] == ["recorded"] * 21
    assert gated.commits == 2


def test_reads_that_share_a_commit_are_looked_for_at_once(
    gated: GatedLedger, writer: Writer, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Sequence[str]] = []
    find = MemoryTransaction._find

    def told(transaction: MemoryTransaction, read_ids: Sequence[str]) -> dict[str, Replayed]:
        asked.append(read_ids)
        return find(transaction, read_ids)

    commit_held(gated, writer)
    monkeypatch.setattr(MemoryTransaction, "_find", told)
    ids = [f"r-{n}" for n in range(20)]
    answers = [writer.submit(once(read_id), read_id) for read_id in ids]
    gated.gate.set()
    assert [answer.result(WAIT_S) for answer in answers] == ["recorded"] * 20
    assert asked == [ids]


def test_a_batch_is_bounded(gated: GatedLedger, tally: Tally) -> None:
    with Writer(gated, tally.fold, tally.rebuild, lambda: noon, batch_max=4) as writer:
        commit_held(gated, writer)
        answers = [writer.submit(once(f"r-{n}")) for n in range(8)]
        gated.gate.set()
        wait(answers, WAIT_S)
    assert gated.commits == 3


def test_each_decision_knows_what_was_decided_before_it(gated: GatedLedger, writer: Writer, tally: Tally) -> None:
    def how_many(_known: Lookup) -> tuple[Sequence[Fact], int]:
        return [a_read(f"r-{len(tally.reads)}")], len(tally.reads)

    commit_held(gated, writer)
    answers = [writer.submit(how_many) for _ in range(5)]
    gated.gate.set()
    assert [answer.result(WAIT_S) for answer in answers] == [1, 2, 3, 4, 5]


def test_a_read_that_is_delivered_twice_in_one_batch_is_recorded_once(gated: GatedLedger, writer: Writer) -> None:
    commit_held(gated, writer)
    answers = [writer.submit(once("r-1")) for _ in range(3)]
    gated.gate.set()
    assert [answer.result(WAIT_S) for answer in answers] == ["recorded", "again", "again"]
    assert gated.head() == 2


def test_readers_see_nothing_that_is_not_committed(gated: GatedLedger, writer: Writer, tally: Tally) -> None:
    seen: list[list[str | None]] = []

    def look() -> None:
        with writer.reading():
            seen.append(list(tally.reads))

    gated.failures = [Unavailable("gone for a while")]
    answer = commit_held(gated, writer)
    looking = threading.Thread(target=look)
    looking.start()
    looking.join(0.05)
    assert seen == []  # it waits for the commit
    gated.gate.set()
    looking.join(WAIT_S)
    assert isinstance(answer.exception(WAIT_S), Unavailable)
    assert seen == [[]]


def test_what_others_appended_is_known_before_anything_is_decided(
    gated: GatedLedger, writer: Writer, tally: Tally
) -> None:
    append(gated, a_read("elsewhere"))
    assert writer.submit(once("elsewhere")).result(WAIT_S) == "again"
    assert writer.submit(once("here")).result(WAIT_S) == "recorded"
    with writer.reading():
        assert tally.reads == ["elsewhere", "here"]
        assert tally.rows == [1, 2]


def test_the_state_starts_from_what_is_in_the_ledger(gated: GatedLedger, tally: Tally) -> None:
    append(gated, a_read("r-1"), a_read("r-2"))
    with Writer(gated, tally.fold, tally.rebuild, lambda: noon) as writer, writer.reading():
        assert tally.reads == ["r-1", "r-2"]


def test_a_ledger_that_cannot_be_read_at_the_start_is_told_at_once(gated: GatedLedger, tally: Tally) -> None:
    gated.readable = False
    writer = Writer(gated, tally.fold, tally.rebuild, lambda: noon)
    with pytest.raises(Unavailable):
        writer.start()
    writer.stop()


def test_a_full_queue_refuses_work(gated: GatedLedger, tally: Tally) -> None:
    with Writer(gated, tally.fold, tally.rebuild, lambda: noon, queue_max=2) as writer:
        commit_held(gated, writer)
        waiting = [writer.submit(once(f"r-{n}")) for n in range(2)]
        with pytest.raises(Busy, match="2 reads are waiting"):
            writer.submit(once("r-2"))
        gated.gate.set()
        wait(waiting, WAIT_S)
        assert writer.submit(once("r-2")).result(WAIT_S) == "recorded"


def test_stopping_writes_what_is_queued(gated: GatedLedger, tally: Tally) -> None:
    writer = Writer(gated, tally.fold, tally.rebuild, lambda: noon, batch_max=2)
    writer.start()
    commit_held(gated, writer)
    answers = [writer.submit(once(f"r-{n}")) for n in range(5)]
    stopping = threading.Thread(target=writer.stop)
    stopping.start()
    gated.gate.set()
    stopping.join(WAIT_S)
    assert [answer.result(0) for answer in answers] == ["recorded"] * 5
    with pytest.raises(Stopped):
        writer.submit(once("r-6"))
    writer.stop()  # once more does no harm


def test_work_that_was_cancelled_while_it_waited_is_not_done(gated: GatedLedger, writer: Writer) -> None:
    commit_held(gated, writer)
    cancelled, kept = writer.submit(once("r-1")), writer.submit(once("r-2"))
    assert cancelled.cancel()
    gated.gate.set()
    assert kept.result(WAIT_S) == "recorded"
    assert [row.read_id for row in gated.rows()] == ["held", "r-2"]


def test_work_without_facts_costs_no_row(gated: GatedLedger, writer: Writer) -> None:
    assert writer.submit(lambda known: ([], known.head())).result(WAIT_S) == 0
    assert gated.head() == 0


def test_each_row_bears_the_time_at_which_it_was_decided(gated: GatedLedger, tally: Tally) -> None:
    seconds = count()
    clock = lambda: datetime(2026, 11, 25, 12, 0, next(seconds), tzinfo=UTC)  # noqa: E731
    with Writer(gated, tally.fold, tally.rebuild, clock) as writer:
        wait([writer.submit(once(f"r-{n}")) for n in range(3)], WAIT_S)
    assert [row.recorded_at.second for row in gated.rows()] == [0, 1, 2]


def test_the_same_writer_works_on_every_ledger(url: str, opened: Any) -> None:
    ledger: Ledger = opened(url)
    tally = Tally(ledger)
    with Writer(ledger, tally.fold, tally.rebuild, lambda: noon) as writer:
        answers = [writer.submit(once(f"r-{n % 40}")) for n in range(50)]
        assert [answer.result(WAIT_S) for answer in answers] == ["recorded"] * 40 + ["again"] * 10
    assert tally.rows == list(range(1, 41))
