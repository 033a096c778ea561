"""Jobs: taken, held, released, given up."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from floor.core.orders.jobs import cancel, hold, release, take
from shared.codes import Code, CodeType, parse
from shared.events.jobs import JobAdded, PieceOpened
from shared.files.jobfile import parse_job
from shared.wish import NotPossible
from tests.making import MONDAY, Play, job_data, walk


@pytest.fixture
def play() -> Play:
    return Play()


# Taking one


def test_jobs_are_numbered_as_they_come(play: Play) -> None:
    for _ in range(2):
        play.job()
    assert list(play.floor.jobs) == ["J0001", "J0002"]


def test_a_piece_is_opened_for_each_that_was_ordered(play: Play) -> None:
    pieces = play.job(sizes={"S": 2, "2XL": 1})
    assert [(play.piece(code).size, play.piece(code).number) for code in pieces] == [("S", 1), ("S", 2), ("2XL", 3)]


def test_pieces_are_numbered_within_their_line(play: Play) -> None:
    data = job_data(sizes={"M": 2})
    data["lines"] *= 2
    taken = take(play.floor, play.shop, parse_job(data, play.shop), MONDAY)
    events = [fact.event for fact in taken.facts if isinstance(fact.event, PieceOpened)]
    assert [(event.line, event.number) for event in events] == [(1, 1), (1, 2), (2, 1), (2, 2)]


def test_every_code_is_a_good_one_and_no_two_are_the_same(play: Play) -> None:
    codes = [*play.job(sizes={"M": 20}), *play.job(sizes={"M": 20})]
    assert [parse(code) for code in codes] == [Code(CodeType.PIECE, serial) for serial in range(1, 41)]


def test_the_job_is_the_first_of_its_facts(play: Play) -> None:
    taken = take(play.floor, play.shop, parse_job(job_data(), play.shop), MONDAY)
    assert taken.facts[0].event == taken.added
    assert {fact.occurred_at for fact in taken.facts} == {MONDAY}


def test_the_quote_is_frozen_with_the_job(play: Play) -> None:
    play.job(sizes={"M": 1, "2XL": 1})
    [line] = play.floor.jobs["J0001"].lines
    blanks = {size: charges[0] for size, charges in line.quoted.items()}
    assert {size: blank.price for size, blank in blanks.items()} == {"M": Decimal("2.00"), "2XL": Decimal("3.10")}


def test_a_due_time_without_an_offset_is_the_shop_s_own(play: Play) -> None:
    play.job(due=datetime(2026, 12, 2, 16, 0))  # noqa: DTZ001 - as a person writes it
    assert play.floor.jobs["J0001"].due == datetime(2026, 12, 2, 21, 0, tzinfo=UTC)


def test_taking_a_job_changes_nothing_until_it_is_recorded(play: Play) -> None:
    taken = take(play.floor, play.shop, parse_job(job_data(), play.shop), MONDAY)
    assert play.floor.jobs == {}
    assert isinstance(taken.added, JobAdded)


# Holding and releasing


def test_a_job_is_held_once(play: Play) -> None:
    play.job()
    play.hold()
    with pytest.raises(NotPossible, match="J0001 is on hold already"):
        hold(play.floor, "J0001", "", MONDAY)


def test_only_a_held_job_is_released(play: Play) -> None:
    play.job()
    with pytest.raises(NotPossible, match="J0001 is not on hold"):
        release(play.floor, "J0001", MONDAY)


def test_a_job_may_be_held_again(play: Play) -> None:
    play.job()
    play.hold()
    play.release()
    play.hold()
    assert play.floor.jobs["J0001"].held


def test_a_job_that_does_not_exist_is_named_with_those_that_do(play: Play) -> None:
    with pytest.raises(NotPossible, match="'J9'; jobs here: none yet"):
        hold(play.floor, "J9", "", MONDAY)
    play.job()
    play.job()
    with pytest.raises(NotPossible, match="J0001 to J0002"):
        hold(play.floor, "J9", "", MONDAY)


# Giving up


def test_the_open_pieces_go_with_their_job_and_the_finished_ones_stay(play: Play) -> None:
    done, other = play.job(sizes={"M": 2})
    walk(play, done)
    play.cancel()
    assert [play.piece(code).state for code in (done, other)] == ["finished", "cancelled"]
    assert play.floor.open == {}


def test_a_job_is_given_up_once(play: Play) -> None:
    play.job()
    play.cancel()
    for change in (cancel, hold):
        with pytest.raises(NotPossible, match="J0001 was cancelled before"):
            change(play.floor, "J0001", "", MONDAY)


def test_a_finished_job_cannot_be_given_up(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    with pytest.raises(NotPossible, match="no open piece left"):
        cancel(play.floor, "J0001", "", MONDAY)


def test_why_is_kept(play: Play) -> None:
    play.job()
    fact = hold(play.floor, "J0001", "customer asks", MONDAY + timedelta(minutes=1))
    assert fact.event.why == "customer asks"  # type: ignore[attr-defined]
    assert fact.occurred_at == MONDAY + timedelta(minutes=1)
