"""The writer when work, a commit or the ledger fails: nothing is half done, and it goes on."""

from collections.abc import Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as some

from floor.ledger import MemoryLedger, Unavailable, Writer
from floor.ledger.memory import MemoryTransaction
from shared.events.recorded import Recorded
from tests.floor.ledger.facts import Tally, a_read, noon, once
from tests.floor.ledger.gate import GatedLedger, commit_held, fail
from tests.measured import WAIT_S


def test_work_that_fails_takes_no_other_with_it(gated: GatedLedger, writer: Writer, tally: Tally) -> None:
    commit_held(gated, writer)
    before, bad, after = writer.submit(once("r-1")), writer.submit(fail), writer.submit(once("r-2"))
    gated.gate.set()
    assert (before.result(WAIT_S), after.result(WAIT_S)) == ("recorded", "recorded")
    assert isinstance(bad.exception(WAIT_S), ZeroDivisionError)
    assert tally.reads == ["held", "r-1", "r-2"]


def test_a_fact_that_cannot_be_kept_fails_alone(gated: GatedLedger, writer: Writer, tally: Tally) -> None:
    commit_held(gated, writer)
    bad = writer.submit(lambda _known: ([a_read("r-1"), a_read("r-\0")], "never"))
    after = writer.submit(once("r-1"))
    gated.gate.set()
    assert isinstance(bad.exception(WAIT_S), ValueError)
    assert after.result(WAIT_S) == "recorded"
    assert tally.reads == ["held", "r-1"]


def test_a_commit_that_fails_fails_the_whole_batch_and_is_forgotten(
    gated: GatedLedger, writer: Writer, tally: Tally
) -> None:
    commit_held(gated, writer).add_done_callback(lambda _: None)
    gated.failures = [None, Unavailable("gone for a while")]
    lost = [writer.submit(once(f"r-{n}")) for n in range(3)]
    gated.gate.set()
    assert all(isinstance(answer.exception(WAIT_S), Unavailable) for answer in lost)
    with writer.reading():
        assert tally.reads == ["held"]
    assert writer.submit(once("r-0")).result(WAIT_S) == "recorded"
    assert tally.rows == [1, 2]


def test_a_read_that_was_stored_unawares_is_known_when_it_comes_again(
    gated: GatedLedger, writer: Writer, tally: Tally
) -> None:
    gated.lost_answers = 1
    assert isinstance(writer.submit(once("r-1")).exception(WAIT_S), Unavailable)
    with writer.reading():
        assert tally.reads == ["r-1"]
    assert writer.submit(once("r-1")).result(WAIT_S) == "again"


def test_a_ledger_that_is_away_at_the_start_of_a_batch_fails_only_that_batch(tally: Tally) -> None:
    class Away(MemoryLedger):
        away = True

        @contextmanager
        def transaction(self) -> Iterator[MemoryTransaction]:
            if self.away:
                raise Unavailable("gone for a while")
            with super().transaction() as transaction:
                yield transaction

    ledger = Away()
    with Writer(ledger, tally.fold, tally.rebuild, lambda: noon) as writer:
        assert isinstance(writer.submit(once("r-1")).exception(WAIT_S), Unavailable)
        ledger.away = False
        assert writer.submit(once("r-1")).result(WAIT_S) == "recorded"


def test_while_the_state_cannot_be_rebuilt_nobody_may_read_it(
    gated: GatedLedger, writer: Writer, tally: Tally, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("floor.ledger.writer.retry_s", 0.01)
    gated.failures = [Unavailable("gone for a while")]
    gated.readable = False
    assert isinstance(writer.submit(once("r-1")).exception(WAIT_S), Unavailable)
    with pytest.raises(Unavailable, match="cannot be read"), writer.reading():
        pass
    while gated.at_gate.acquire(blocking=False):
        pass
    gated.readable = True
    assert gated.at_gate.acquire(timeout=WAIT_S)  # it tries again of itself, without any new read
    assert writer.submit(once("r-1")).result(WAIT_S) == "recorded"
    with writer.reading():
        assert tally.reads == ["r-1"]


def test_a_commit_that_is_lost_a_rebuild_that_fails_and_another_process_all_at_once(
    gated: GatedLedger, writer: Writer, tally: Tally
) -> None:
    """As many rows as the state holds are in the ledger then, and they are others."""
    gated.failures = [Unavailable("gone for a while")]
    gated.readable = False
    assert isinstance(writer.submit(once("r-1")).exception(WAIT_S), Unavailable)
    with MemoryLedger.transaction(gated) as past_the_gate:
        past_the_gate.append([a_read("elsewhere")], noon)
    gated.readable = True
    assert writer.submit(once("r-2")).result(WAIT_S) == "recorded"
    with writer.reading():
        assert tally.reads == ["elsewhere", "r-2"]


def test_a_state_that_stumbles_over_a_row_is_built_anew(gated: GatedLedger) -> None:
    class Clumsy(Tally):
        stumbles = True

        def fold(self, rows: Any) -> None:
            for row in rows:
                super().fold([row])
                if row.read_id == "r-1" and self.stumbles:
                    raise ZeroDivisionError

    tally = Clumsy(gated)
    with Writer(gated, tally.fold, tally.rebuild, lambda: noon) as writer:
        assert isinstance(writer.submit(once("r-1")).exception(WAIT_S), ZeroDivisionError)
        assert writer.submit(once("r-2")).result(WAIT_S) == "recorded"
        assert (tally.reads, gated.head()) == (["r-2"], 1)


@given(plan=some.lists(some.sampled_from(["read", "same", "fail", "lost", "answer lost", "elsewhere"]), max_size=30))
def test_whatever_fails_the_state_is_what_the_ledger_says(plan: list[str]) -> None:
    gated = GatedLedger()
    tally = Tally(gated)
    acked: set[str] = set()
    durable: list[Recorded] = []
    with Writer(gated, tally.fold, tally.rebuild, lambda: noon, batch_max=3, committed=durable.extend) as writer:
        answers: list[tuple[str, Future[str]]] = []
        for n, what in enumerate(plan):
            if what == "elsewhere":
                with MemoryLedger.transaction(gated) as past_the_gate:
                    past_the_gate.append([a_read(f"elsewhere-{n}")], noon)
            else:
                gated.failures += [Unavailable("gone for a while")] if what == "lost" else []
                gated.lost_answers += what == "answer lost"
                read_id = "same" if what == "same" else f"r-{n}"
                answers.append((read_id, writer.submit(fail if what == "fail" else once(read_id))))
        acked = {read_id for read_id, answer in answers if answer.exception(WAIT_S) is None}
        with writer.reading():
            known = list(tally.reads)
    stored = [row.read_id for row in gated.rows()]
    assert known == stored[: len(known)]
    assert acked <= set(stored)
    assert len(stored) == len(set(stored))
    rows = {row.seq: row for row in gated.rows()}
    assert all(rows[row.seq] == row for row in durable)
