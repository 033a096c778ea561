"""The fold: the same rows give the same floor, however they are dealt out."""

import pickle
from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from floor.core.folds import fold as folding
from floor.core.folds.fold import fold, fold_all
from floor.core.plan.alarms import changes
from floor.core.state.floor import Floor
from floor.core.state.piece import Walked
from shared.codes import CodeType
from shared.events.floor import AlarmCleared, AlarmRaised, WorkDone
from shared.events.reads import CareDone, SignedIn, StepAssumed, StepDone, StepStarted
from shared.events.recorded import KINDS, Fact, Recorded
from shared.files.cards import UNDO
from tests.floor.plays import Act, days, played
from tests.making import DARK_WALK, MONDAY, Play, card, walk


@given(days, st.integers(0, 200))
def test_a_row_that_was_folded_before_changes_nothing(acts: list[Act], n: int) -> None:
    play = played(acts)
    fold(play.floor, play.rows[n % len(play.rows)])
    assert play.floor == fold_all(play.rows)


@given(days, st.integers(0, 200))
def test_a_floor_that_was_put_away_goes_on_from_where_it_was(acts: list[Act], n: int) -> None:
    rows = played(acts).rows
    middle = n % len(rows)
    half = pickle.loads(pickle.dumps(fold_all(rows[:middle])))
    assert fold_all(rows[middle:], half) == fold_all(rows)


@given(days, st.integers(0, 200))
def test_folding_again_from_any_earlier_row_changes_nothing(acts: list[Act], n: int) -> None:
    rows = played(acts).rows
    assert fold_all(rows[n % len(rows) :], fold_all(rows)) == fold_all(rows)


@given(st.data())
def test_the_facts_of_a_piece_give_one_walk_in_whatever_order_they_arrive(data: st.DataObject) -> None:
    rows = one_walk()
    facts = [row for row in rows if isinstance(row.event, StepStarted | StepDone | StepAssumed)]
    opening = rows[: len(rows) - len(facts)]
    shuffled = data.draw(st.permutations(facts))
    arrived = [replace(row, seq=len(opening) + n) for n, row in enumerate(shuffled, start=1)]
    assert the_walk(fold_all([*opening, *arrived])) == the_walk(fold_all(rows))


def one_walk() -> list[Recorded]:
    """A piece that skipped a scan, with the assumed step a moment before the read that showed it."""
    play = Play()
    [piece] = play.job()
    walk(play, piece, DARK_WALK[1:])
    return [
        replace(row, occurred_at=row.occurred_at - timedelta(seconds=1)) if isinstance(row.event, StepAssumed) else row
        for row in play.rows
    ]


def the_walk(floor: Floor) -> list[Walked]:
    [piece] = floor.pieces.values()
    return piece.walk


def test_every_kind_of_event_has_its_fold() -> None:
    assert set(folding._FOLDS) == set(KINDS)


def test_a_floor_without_a_row_is_empty() -> None:
    assert fold_all([]) == Floor()


def test_the_floor_knows_how_far_it_has_read() -> None:
    play = Play()
    play.job(sizes={"M": 3})
    assert play.floor.seq == len(play.rows) == 4


def test_the_floor_began_when_its_first_row_occurred() -> None:
    play = Play()
    play.job()
    play.now += timedelta(days=1)
    play.job()
    assert play.floor.began == MONDAY


def test_the_next_piece_follows_the_last_one_of_all_jobs() -> None:
    play = Play()
    play.job(sizes={"M": 3})
    [piece] = play.job()
    assert piece.startswith("10000004")


def ended(play: Play) -> list[str]:
    return [piece.code for piece in play.floor.ended_between(MONDAY, MONDAY + timedelta(days=1))]


def test_what_ended_in_a_span_is_listed_once_and_in_order() -> None:
    play = Play()
    one, other = play.job(sizes={"M": 2})
    walk(play, other)
    walk(play, one)
    assert ended(play) == [other, one]


def test_what_was_finished_taken_back_and_finished_again_ended_once() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece)
    play.scan(card(CodeType.COMMAND, UNDO), "packing", after_s=5)
    assert ended(play) == []
    play.scan(piece, "packing", after_s=5)
    assert ended(play) == [piece]


def test_a_piece_that_is_spoiled_after_it_was_finished_ended_when_it_was_spoiled() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece)
    finished = play.now
    play.spoil(piece, "packing")
    assert ended(play) == [piece]
    assert play.floor.ended_between(MONDAY, finished + timedelta(seconds=1)) == []


def test_the_first_moment_of_a_span_belongs_to_it_and_the_last_does_not() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece)
    assert [each.code for each in play.floor.ended_between(play.now, play.now + timedelta(seconds=1))] == [piece]
    assert play.floor.ended_between(MONDAY, play.now) == []


def test_a_care_task_was_done_when_it_was_done_last_even_if_that_was_told_first() -> None:
    play = Play()
    play.happens(CareDone(task="nozzle check"))
    play.record([Fact(event=CareDone(task="nozzle check"), occurred_at=MONDAY - timedelta(hours=1))])
    assert play.floor.cared == {"nozzle check": MONDAY}


def test_work_of_the_floor_is_done_up_to_the_latest_day() -> None:
    play = Play()
    for day in ("2026-11-24", "2026-11-23"):
        play.happens(WorkDone(task="sign out", period=day))
    assert play.floor.worked == {"sign out": "2026-11-24"}


def test_an_alarm_stands_from_when_it_is_raised_until_it_is_cleared() -> None:
    play = Play()
    play.happens(AlarmRaised(alarm="care due", subject="nozzle check", since=MONDAY, say="Due: nozzle check."))
    assert list(play.floor.alarms) == [("care due", "nozzle check")]
    play.happens(AlarmCleared(alarm="care due", subject="nozzle check"))
    assert play.floor.alarms == {}


def test_a_late_sign_in_does_not_put_out_whoever_came_after() -> None:
    play = Play()
    play.happens(SignedIn(at_station="packing", badge_name="B"))
    play.now -= timedelta(hours=1)
    play.happens(SignedIn(at_station="packing", badge_name="A"))
    station = play.floor.station("packing")
    assert station.hands_at(MONDAY) == ("B", MONDAY)
    assert station.hands_at(MONDAY - timedelta(minutes=1)) == ("A", MONDAY - timedelta(hours=1))
    assert station.hands_at(MONDAY - timedelta(hours=2)) is None


@given(days)
def test_alarms_too_are_part_of_the_fold(acts: list[Act]) -> None:
    play = played(acts)
    play.now += timedelta(hours=2)
    play.record(changes(play.floor, play.shop, play.now))
    assert fold_all(play.rows) == play.floor


def test_the_latest_that_is_known_of_a_piece_is_its_last_fact_whenever_that_arrived() -> None:
    play = Play()
    [piece] = play.job()
    assert play.piece(piece).latest == MONDAY
    play.scan(piece, "printer 1", at=MONDAY + timedelta(seconds=600))
    play.scan(piece, "pretreat booth", at=MONDAY + timedelta(seconds=300))
    assert play.piece(piece).latest == MONDAY + timedelta(seconds=600)
