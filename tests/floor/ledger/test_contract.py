"""What every ledger promises: the same tests in memory, on SQLite and on PostgreSQL."""

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta, timezone

import pytest

from floor.ledger import Ledger, ReadTwice
from floor.ledger.check import first_trouble
from floor.ledger.queries import page_rows
from floor.ledger.row import digest
from shared.events.jobs import JobHeld
from shared.events.reads import Read, ReadRefused, StepDone
from shared.events.recorded import Fact
from shared.scan import Answer
from tests.floor.ledger.facts import a_read, append, assumed, noon
from tests.measured import WAIT_S


def test_a_new_ledger_is_empty(ledger: Ledger) -> None:
    assert (ledger.head(), list(ledger.rows()), first_trouble(ledger)) == (0, [], None)


def test_what_is_appended_comes_back_in_order(ledger: Ledger) -> None:
    told = append(ledger, assumed(0), assumed(1), a_read("r-1")) + append(ledger, a_read("r-2"))
    assert list(ledger.rows()) == told
    assert [row.seq for row in told] == [1, 2, 3, 4]
    assert ledger.head() == 4


def test_a_row_bears_all_that_the_fact_did(ledger: Ledger) -> None:
    fact = a_read("r-1")
    row = append(ledger, fact)[0]
    names = ("event", "occurred_at", "station", "badge", "device", "read_id")
    assert [getattr(row, name) for name in names] == [getattr(fact, name) for name in names]
    assert row.recorded_at == noon


def test_rows_can_be_asked_for_from_one_to_another(ledger: Ledger) -> None:
    append(ledger, *[assumed(n) for n in range(10)])
    assert [row.seq for row in ledger.rows(after=3, until=6)] == [4, 5, 6]
    assert [row.seq for row in ledger.rows(after=8)] == [9, 10]
    assert list(ledger.rows(after=10)) == []


def test_a_long_ledger_is_read_whole_over_many_pages(ledger: Ledger) -> None:
    append(ledger, *[assumed(n) for n in range(2 * page_rows)], assumed(7))
    assert [row.seq for row in ledger.rows()] == list(range(1, 2 * page_rows + 2))
    assert [row.seq for row in ledger.rows(until=page_rows)] == list(range(1, page_rows + 1))


def test_the_rows_of_a_stream_are_counted_from_one(ledger: Ledger) -> None:
    append(ledger, assumed(0, "10"), assumed(0, "11"), assumed(1, "10"))
    append(ledger, assumed(2, "10"), assumed(1, "11"))
    counted = [(row.stream, row.version) for row in ledger.stored()]
    assert counted == [("10", 1), ("11", 1), ("10", 2), ("10", 3), ("11", 2)]


def test_each_row_is_chained_to_the_one_before(ledger: Ledger) -> None:
    append(ledger, assumed(0), a_read("r-1"))
    append(ledger, assumed(1))
    before = ""
    for row in ledger.stored():
        assert row.hash == digest(row, before)
        before = row.hash
    assert ledger.noted_head() == (3, before)


def _append_and_fail(ledger: Ledger) -> None:
    with ledger.transaction() as transaction:
        transaction.append([a_read("r-1")], noon)
        list(transaction.rows())
        transaction.append([a_read("r-2")], noon)
        raise ZeroDivisionError


def test_a_transaction_that_fails_leaves_nothing_and_no_gap(ledger: Ledger) -> None:
    append(ledger, assumed(0))
    with pytest.raises(ZeroDivisionError):
        _append_and_fail(ledger)
    assert [row.seq for row in append(ledger, a_read("r-1"))] == [2]
    assert first_trouble(ledger) is None


def test_a_transaction_sees_its_own_rows(ledger: Ledger) -> None:
    append(ledger, assumed(0))
    with ledger.transaction() as transaction:
        told = transaction.append([a_read("r-1")], noon)
        assert transaction.head() == 2
        assert transaction.by_read_id("r-1") == told[0]
        assert list(transaction.rows(after=1)) == told
        told += transaction.append([assumed(1)], noon)
        assert list(transaction.rows(after=1)) == told
    assert list(ledger.rows(after=1)) == told
    assert first_trouble(ledger) is None


def test_others_see_nothing_before_the_end_of_a_transaction(ledger: Ledger) -> None:
    with ledger.transaction() as transaction:
        transaction.append([a_read("r-1")], noon)
        list(transaction.rows())
        assert (ledger.head(), list(ledger.rows()), ledger.by_read_id("r-1")) == (0, [], None)
    assert ledger.head() == 1


def test_a_read_is_found_by_its_id(ledger: Ledger) -> None:
    told = append(ledger, assumed(0), a_read("r-1"), a_read("r-2"))
    assert ledger.by_read_id("r-2") == told[2]
    assert ledger.by_read_id("r-3") is None


def test_reads_that_were_looked_for_at_once_are_known_each_by_itself(ledger: Ledger) -> None:
    append(ledger, a_read("r-1"), assumed(0), a_read("r-2"))
    with ledger.transaction() as transaction:
        transaction.look_up(["r-2", "r-3"])
        transaction.append([a_read("r-3")], noon)
        known = [transaction.by_read_id(read_id) for read_id in ("r-1", "r-2", "r-3", "r-4")]
        assert [row.seq if row else None for row in known] == [1, 3, 4, None]


def test_a_read_that_was_recorded_is_not_recorded_again(ledger: Ledger) -> None:
    append(ledger, a_read("r-1"))
    with ledger.transaction() as transaction:
        with pytest.raises(ReadTwice, match="r-1"):
            transaction.append([assumed(0), a_read("r-1")], noon)
        transaction.append([a_read("r-2")], noon)
    assert [row.read_id for row in ledger.rows()] == ["r-1", "r-2"]


def test_a_read_is_not_recorded_twice_in_one_transaction(ledger: Ledger) -> None:
    with ledger.transaction() as transaction:
        transaction.append([a_read("r-1")], noon)
        with pytest.raises(ReadTwice):
            transaction.append([a_read("r-1")], noon)
        with pytest.raises(ReadTwice):
            transaction.append([a_read("r-2"), a_read("r-2")], noon)
    assert [row.read_id for row in ledger.rows()] == ["r-1"]


unstorable = {
    "a moment without a zone": Fact(event=JobHeld(job="J0001"), occurred_at=datetime(2026, 11, 25)),  # noqa: DTZ001
    "a NUL in a name": a_read("r-\0"),
    "half a character in a name": a_read("r-\ud83d"),
    "half a character in the body": a_read("r-1", text="\ud83d"),
    "what is no event": Fact(event=StepDone(piece="1", step="three", event="cured"), occurred_at=noon),  # type: ignore[arg-type]
}


@pytest.mark.parametrize("fact", unstorable.values(), ids=unstorable.keys())
def test_a_fact_that_cannot_be_kept_is_refused_before_anything_is_stored(ledger: Ledger, fact: Fact) -> None:
    with ledger.transaction() as transaction:
        with pytest.raises(ValueError, match=r"."):
            transaction.append([assumed(0), fact], noon)
        transaction.append([assumed(1)], noon)
    assert [row.seq for row in ledger.rows()] == [1]
    assert first_trouble(ledger) is None


@pytest.mark.parametrize(
    "text", ["", "\0", "'; DROP TABLE ledger; --", "\x1b[2J", "Šárka 針 🧵 שלום", "\u2028\\\"'%s:x?", "x" * 100_000]
)
def test_any_text_comes_back_as_it_was(ledger: Ledger, text: str) -> None:
    refused = ReadRefused(read=Read(text=text, answer=Answer(outcome="refused", say=text, reason="not-a-code")))
    told = append(ledger, Fact(event=refused, occurred_at=noon, badge=text.replace("\0", "")))
    assert told[0].event == refused
    assert list(ledger.rows()) == told
    assert first_trouble(ledger) is None


@pytest.mark.parametrize(
    "at",
    [
        datetime.min.replace(tzinfo=UTC),
        datetime(1969, 12, 31, 23, 59, 59, 999999, tzinfo=UTC),
        datetime(2026, 11, 1, 1, 30, 0, 1, tzinfo=timezone(timedelta(hours=-4))),
        datetime.max.replace(tzinfo=UTC),
    ],
)
def test_a_moment_comes_back_to_the_microsecond_and_in_utc(ledger: Ledger, at: datetime) -> None:
    append(ledger, Fact(event=JobHeld(job="J0001"), occurred_at=at))
    row = next(ledger.rows())
    assert row.occurred_at == at
    assert row.occurred_at.tzinfo is UTC


def test_whoever_waits_for_news_is_woken_by_it(ledger: Ledger) -> None:
    with ThreadPoolExecutor(1) as pool:
        waiting = pool.submit(ledger.wait_for_news, 0, 3 * WAIT_S)
        append(ledger, assumed(0))
        assert waiting.result(WAIT_S) == 1


def test_waiting_for_news_ends_when_the_time_is_up(ledger: Ledger) -> None:
    append(ledger, assumed(0))
    assert ledger.wait_for_news(after=1, timeout_s=0.01) == 1
    assert ledger.wait_for_news(after=0, timeout_s=WAIT_S) == 1


def test_threads_that_append_at_once_leave_no_gap(ledger: Ledger) -> None:
    def ten(thread: int) -> None:
        for n in range(10):
            append(ledger, a_read(f"{thread}-{n}", piece=str(n)))

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(ten, range(4)))
    assert ledger.head() == 40
    assert first_trouble(ledger) is None


def test_one_transaction_waits_for_the_other(ledger: Ledger) -> None:
    inside = threading.Event()

    def second() -> int:
        with ledger.transaction() as transaction:
            inside.set()
            return transaction.head()

    with ThreadPoolExecutor(1) as pool:
        with ledger.transaction() as transaction:
            waiting = pool.submit(second)
            assert not inside.wait(0.05)
            transaction.append([assumed(0)], noon)
        assert waiting.result(WAIT_S) == 1


def test_a_reader_who_stops_half_way_holds_nobody_up(ledger: Ledger) -> None:
    append(ledger, *[assumed(n) for n in range(page_rows + 1)])
    reader = ledger.rows()
    next(reader)
    append(ledger, a_read("r-1"))
    assert [row.seq for row in reader][:page_rows] == list(range(2, page_rows + 2))


def test_it_says_how_a_commit_is_made_to_last(ledger: Ledger) -> None:
    assert any(word in ledger.durability for word in ("memory", "EXTRA", "FULL", "synchronous_commit on"))


def test_all_is_there_when_it_is_opened_again(url: str, opened: Callable[[str], Ledger]) -> None:
    told = append(opened(url), assumed(0), a_read("r-1"))
    again = opened(url)
    assert list(again.rows()) == told
    told += append(again, assumed(1))
    assert list(opened(url).rows()) == told
    assert first_trouble(again) is None


def test_two_that_are_open_at_once_see_each_others_rows(url: str, opened: Callable[[str], Ledger]) -> None:
    here, there = opened(url), opened(url)
    append(here, a_read("r-1", piece="10"))
    append(there, a_read("r-2", piece="10"))
    with here.transaction() as transaction:
        assert [row.read_id for row in transaction.rows()] == ["r-1", "r-2"]
        assert transaction.by_read_id("r-2")
        transaction.append([a_read("r-3", piece="10")], noon)
    assert [row.version for row in there.stored()] == [1, 2, 3]
    assert first_trouble(there) is None


def test_news_of_another_process_wakes_whoever_waits(url: str, opened: Callable[[str], Ledger]) -> None:
    here, there = opened(url), opened(url)
    with ThreadPoolExecutor(1) as pool:
        waiting = pool.submit(here.wait_for_news, 0, 3 * WAIT_S)
        append(there, assumed(0))
        assert waiting.result(WAIT_S) == 1
