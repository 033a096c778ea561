"""The board: the floor at one moment, as data."""

from datetime import timedelta
from typing import Any

import msgspec
import pytest
from hypothesis import given

from floor.core.folds.fold import fold_all
from floor.core.plan.alarms import changes
from floor.core.plan.board import Board, StepLine, board
from shared.codes import CodeType
from shared.files.shop import parse_shop
from tests.floor.plays import Act, days, played
from tests.making import DARK_WALK, LIGHT_WALK, MONDAY, Play, card, large_shop, shop_data, walk

STAIN = card(CodeType.REASON, "stain")


@pytest.fixture
def play() -> Play:
    return Play()


def seen(play: Play) -> Board:
    return board(play.floor, play.shop, play.now)


def step(play: Play, key: str) -> StepLine:
    return next(line for line in seen(play).steps if line.step == key)


# What it answers


def as_json(play: Play) -> Any:
    return msgspec.json.decode(msgspec.json.encode(seen(play)))


def a_busy_floor() -> Play:
    """One piece in a press, one wet, a late job and its alarm."""
    play = Play(large_shop())
    one, other = play.job(colour="white", sizes={"M": 2}, due=MONDAY)
    walk(play, one, LIGHT_WALK[:2])
    walk(play, other, LIGHT_WALK[:1])
    play.record(changes(play.floor, play.shop, play.now))
    return play


@pytest.mark.parametrize(
    ("part", "keys"),
    [
        ("steps", {"step", "waiting", "working", "oldest_wait_s"}),
        ("presses", {"station", "piece", "closed_since", "opens_at", "seconds_left"}),
        ("wet", {"piece", "since", "wet_s", "limit_s", "expected_in", "expected_out"}),
        ("jobs", {"job", "due", "pieces", "finished", "spoiled", "expected_finish", "late"}),
        ("alarms", {"kind", "piece", "station", "since", "say"}),
    ],
)
def test_every_line_has_the_keys_that_scripts_rest_on(part: str, keys: set[str]) -> None:
    lines = as_json(a_busy_floor())[part]
    assert lines
    assert all(keys <= line.keys() for line in lines)


def test_the_board_has_the_keys_that_scripts_rest_on() -> None:
    answer = as_json(a_busy_floor())
    assert {"at", "seq", "steps", "presses", "wet", "jobs", "alarms", "today"} <= answer.keys()
    assert {"finished", "spoiled"} <= answer["today"].keys()


def test_moments_are_written_as_rfc_3339_in_utc(play: Play) -> None:
    assert as_json(play)["at"] == "2026-11-23T14:00:00Z"


# Steps


def test_every_step_of_the_shop_has_its_line_in_the_order_of_the_shop_file(play: Play) -> None:
    assert [line.step for line in seen(play).steps] == list(play.shop.file.steps)


def test_pieces_wait_for_their_next_step(play: Play) -> None:
    pieces = play.job(sizes={"M": 3})
    play.scan(pieces[0], "pretreat booth")
    assert (step(play, "pretreat").waiting, step(play, "underlayer").waiting) == (2, 1)


def test_a_piece_in_a_press_is_in_work_and_does_not_wait(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:5])
    assert (step(play, "cure").waiting, step(play, "cure").working) == (0, 1)


def test_the_oldest_wait_is_that_of_the_piece_that_waits_longest(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth", after_s=10)
    play.scan(other, "pretreat booth", after_s=30)
    play.now += timedelta(seconds=5)
    assert step(play, "underlayer").oldest_wait_s == 35


def test_a_wait_is_never_shorter_than_nothing(play: Play) -> None:
    play.job()
    play.now -= timedelta(seconds=60)
    assert step(play, "pretreat").oldest_wait_s == 0


def test_where_nothing_waits_there_is_no_oldest_wait(play: Play) -> None:
    assert step(play, "pack").oldest_wait_s is None


def test_a_step_that_the_shop_file_has_lost_still_shows_the_pieces_that_wait_for_it(play: Play) -> None:
    play.job()
    data = shop_data()
    del data["steps"]["pretreat"]
    data["routes"]["dark garment"] = ["underlayer", "inspect", "colour", "cure", "pack"]
    data["stations"] = [each for each in data["stations"] if each["name"] != "pretreat booth"]
    play.shop = parse_shop(data)
    assert step(play, "pretreat").waiting == 1


# Jobs


def test_jobs_with_open_pieces_stand_in_the_order_of_their_due_times(play: Play) -> None:
    play.job(due=MONDAY + timedelta(days=2))
    play.job(due=MONDAY + timedelta(days=1))
    assert [line.job for line in seen(play).jobs] == ["J0002", "J0001"]


def test_a_finished_job_leaves_the_board(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    assert seen(play).jobs == []


def test_a_job_counts_what_was_ordered_what_is_finished_and_what_was_spoiled(play: Play) -> None:
    one, other, _ = play.job(sizes={"M": 3})
    walk(play, one)
    play.scan(other, "pretreat booth")
    play.spoil(other, "pretreat booth")
    [line] = seen(play).jobs
    assert (line.pieces, line.finished, line.spoiled) == (3, 1, 1)


def test_a_job_that_cannot_be_ready_when_it_is_due_is_late(play: Play) -> None:
    play.job(due=MONDAY + timedelta(minutes=5))
    [line] = seen(play).jobs
    assert (line.expected_finish, line.late) == (MONDAY + timedelta(seconds=615), True)


def test_a_job_that_will_be_ready_when_it_is_due_is_not_late(play: Play) -> None:
    play.job(due=MONDAY + timedelta(seconds=615))
    assert seen(play).jobs[0].late is False


def test_a_held_job_is_expected_at_no_time(play: Play) -> None:
    play.job()
    play.hold()
    [line] = seen(play).jobs
    assert (line.held, line.expected_finish, line.late) == (True, None, False)


# Next


def test_every_station_names_what_it_takes_next(play: Play) -> None:
    [piece] = play.job()
    board = seen(play)
    assert list(board.next) == list(play.shop.stations)
    [turn] = board.next["pretreat booth"]
    assert (turn.piece, turn.step, turn.why) == (piece, "pretreat", "nothing else waits")


def test_the_first_wet_piece_is_what_a_press_takes_next(play: Play) -> None:
    for code in play.job(colour="white", sizes={"M": 2}):
        walk(play, code, LIGHT_WALK[:1])
    board = seen(play)
    assert [turn.piece for turn in board.next["press 1"]] == [wet.piece for wet in board.wet]


# Alarms


def test_the_longest_standing_alarm_comes_first(play: Play) -> None:
    first, second = play.job(colour="white", sizes={"M": 2})
    for code in (second, first):
        play.scan(code, "printer 1", after_s=95)
    play.now += timedelta(hours=1)
    play.record(changes(play.floor, play.shop, play.now))
    assert [line.piece for line in seen(play).alarms] == [second, first]


def test_an_alarm_that_is_about_no_piece_says_what_it_is_about(play: Play) -> None:
    play.job()
    play.now += timedelta(hours=9)
    play.record(changes(play.floor, play.shop, play.now))
    [line] = [each for each in seen(play).alarms if each.kind == "care due"]
    assert (line.piece, line.subject) == (None, "stir white ink")


# Contradictions


def contradicted(play: Play) -> str:
    """A piece whose underlayer two printers claim."""
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:2])
    play.scan(piece, "printer 2", at=play.now - timedelta(seconds=60))
    return piece


def test_a_piece_with_contradictions_is_listed_for_a_person() -> None:
    play = Play(large_shop())
    piece = contradicted(play)
    assert seen(play).contradictions == [piece]


def test_a_finished_piece_with_a_contradiction_of_today_is_listed_until_the_day_is_over() -> None:
    play = Play(large_shop())
    piece = contradicted(play)
    walk(play, piece, DARK_WALK[2:])
    assert seen(play).contradictions == [piece]
    play.now += timedelta(days=1)
    assert seen(play).contradictions == []


# The day so far


def test_today_counts_what_was_finished_and_spoiled_since_the_shop_s_midnight(play: Play) -> None:
    one, other, later = play.job(sizes={"M": 3})
    walk(play, one)
    play.scan(other, "pretreat booth")
    play.spoil(other, "pretreat booth")
    assert (seen(play).today.finished, seen(play).today.spoiled) == (1, 1)
    play.now = MONDAY + timedelta(hours=15)  # five in the morning: midnight in New York
    assert (seen(play).today.finished, seen(play).today.spoiled) == (0, 0)
    walk(play, later)
    assert seen(play).today.finished == 1


# Always


@given(days)
def test_the_same_rows_and_the_same_moment_give_the_same_board(acts: list[Act]) -> None:
    play = played(acts)
    assert board(fold_all(play.rows), play.shop, play.now) == seen(play)


@given(days)
def test_every_open_piece_is_waiting_or_in_work_once(acts: list[Act]) -> None:
    play = played(acts)
    assert sum(line.waiting + line.working for line in seen(play).steps) == len(play.floor.open)


@given(days)
def test_every_board_can_be_written_as_json(acts: list[Act]) -> None:
    assert as_json(played(acts))["seq"] > 0
