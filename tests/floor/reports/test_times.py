"""The times of a week: steps, cycles, yield, throughput."""

from datetime import timedelta

import pytest

from floor.reports.times import cycles, first_pass_yield, per_hour, step_weeks, worked_between
from floor.state import Piece
from shared.codes import CodeType
from tests.making import DARK_WALK, MONDAY, Play, card, walk

WEEK = (MONDAY - timedelta(hours=9), MONDAY + timedelta(days=7))
STAIN = card(CodeType.REASON, "stain")


@pytest.fixture
def play() -> Play:
    return Play()


def steps(play: Play, start_s: float = -1e5, end_s: float = 1e5) -> list[str]:
    start, end = (MONDAY + timedelta(seconds=s) for s in (start_s, end_s))
    return [time.step.key for time in worked_between(play.floor, start, end)]


def finished(play: Play) -> list[Piece]:
    return [piece for piece in play.floor.pieces.values() if piece.state == "finished"]


def spoil(play: Play, code: str, station: str) -> None:
    play.scan(STAIN, station, after_s=60)
    play.scan(code, station, after_s=5)


# Steps


def test_a_step_belongs_to_the_span_in_which_it_was_done(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:3])
    assert steps(play, 0, 240) == ["pretreat"]
    assert steps(play, 240, 255) == ["underlayer"]
    assert steps(play, 240, 256) == ["underlayer", "inspect"]


def test_a_step_that_is_not_over_is_not_counted(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:5])
    assert "cure" not in steps(play)


def test_assumed_steps_belong_to_the_span_of_the_read_that_showed_them(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "inspection", after_s=600)
    assert steps(play, 0, 600) == []
    assert steps(play, 600, 601) == ["pretreat", "underlayer", "inspect"]


def test_each_figure_says_how_many_were_seen_derived_and_left_out(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    walk(play, one)
    walk(play, other, DARK_WALK[1:])
    found = step_weeks(play.shop, worked_between(play.floor, *WEEK))
    pretreat, cure = found["pretreat"].processing_s, found["cure"].processing_s
    assert (pretreat.n, pretreat.derived, pretreat.assumed) == (1, 1, 1)
    assert (cure.n, cure.derived, cure.assumed, cure.mean) == (2, 0, 0, 180)


def test_a_step_after_an_assumed_one_has_no_queuing_time_to_count(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "printer 1")
    found = step_weeks(play.shop, worked_between(play.floor, *WEEK))["underlayer"]
    assert (found.queuing_s.n, found.processing_s.n) == (0, 1)


def test_steps_stand_in_the_order_of_the_shop_file(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    found = step_weeks(play.shop, reversed(worked_between(play.floor, *WEEK)))
    assert list(found) == ["pretreat", "underlayer", "inspect", "colour", "cure", "pack"]


# Cycles


def test_cycle_times_are_those_of_finished_pieces(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    walk(play, one)
    walk(play, other, DARK_WALK[:3])
    found = cycles(play.floor, play.shop, finished(play), working=False)
    assert (found.n, found.mean, found.derived, found.assumed) == (1, 615, 1, 0)


def test_a_piece_whose_first_step_nobody_saw_is_left_out(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[1:])
    found = cycles(play.floor, play.shop, finished(play), working=False)
    assert (found.n, found.mean, found.assumed) == (0, None, 1)


def test_working_time_leaves_the_night_out(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:6])
    play.scan(piece, "packing", at=MONDAY + timedelta(days=1))
    elapsed, working = (cycles(play.floor, play.shop, finished(play), working=each) for each in (False, True))
    assert (elapsed.mean, working.mean) == (24 * 3600, 8.5 * 3600)


# First pass yield


def test_parts_good_at_their_first_inspection_by_parts_inspected(play: Play) -> None:
    pieces = play.job(sizes={"M": 4})
    for code in pieces:
        walk(play, code, DARK_WALK[:3])
    assert first_pass_yield(play.floor, play.shop, *WEEK) == 1
    play.scan(STAIN, "inspection", after_s=5)  # the last one, just inspected
    assert first_pass_yield(play.floor, play.shop, *WEEK) == 3 / 4


def test_a_part_that_is_spoiled_instead_of_passed_was_not_good(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    walk(play, one, DARK_WALK[:3])
    walk(play, other, DARK_WALK[:2])
    spoil(play, other, "inspection")
    assert first_pass_yield(play.floor, play.shop, *WEEK) == 1 / 2


def test_what_is_spoiled_after_its_inspection_had_passed_it(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:4])
    spoil(play, piece, "printer 1")
    assert first_pass_yield(play.floor, play.shop, *WEEK) == 1


def test_what_is_spoiled_before_it_comes_to_inspection_was_not_inspected(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    spoil(play, piece, "pretreat booth")
    assert first_pass_yield(play.floor, play.shop, *WEEK) is None


def test_a_route_without_an_inspection_has_no_yield(play: Play) -> None:
    [piece] = play.job(colour="white")
    walk(play, piece, DARK_WALK[3:])
    assert first_pass_yield(play.floor, play.shop, *WEEK) is None


def test_a_remake_is_a_second_part_with_a_first_inspection_of_its_own(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:2])
    spoil(play, piece, "inspection")
    remake = play.piece(piece).remake or ""
    play.now += timedelta(minutes=5)
    walk(play, remake, DARK_WALK[:3])
    assert first_pass_yield(play.floor, play.shop, *WEEK) == 1 / 2


def test_a_week_counts_from_its_first_moment_on_and_not_at_its_end(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:3])
    later = play.now + timedelta(days=7)
    assert first_pass_yield(play.floor, play.shop, play.now, later) == 1
    assert first_pass_yield(play.floor, play.shop, MONDAY, play.now) is None


def test_inspections_of_another_week_do_not_count(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:3])
    assert first_pass_yield(play.floor, play.shop, WEEK[1], WEEK[1] + timedelta(days=7)) is None


# Rates


def test_a_rate_is_by_the_hour() -> None:
    assert per_hour(30, timedelta(hours=4)) == 7.5


def test_without_time_there_is_no_rate() -> None:
    assert per_hour(30, timedelta(0)) is None
