"""The times of a week: steps, cycles, yield, throughput."""

from datetime import timedelta

import pytest

from floor.core.figures.times import cycles, machine_weeks, per_hour, quantities, station_weeks, step_weeks
from floor.core.state.piece import Piece
from floor.core.times.cycle import Walks
from floor.core.times.spans import elapsed
from shared.codes import CodeType
from tests.making import DARK_WALK, MONDAY, Play, card, walk

WEEK = (MONDAY - timedelta(hours=9), MONDAY + timedelta(days=7))
STAIN = card(CodeType.REASON, "stain")


@pytest.fixture
def play() -> Play:
    return Play()


def steps(play: Play, start_s: float = -1e5, end_s: float = 1e5) -> list[str]:
    start, end = (MONDAY + timedelta(seconds=s) for s in (start_s, end_s))
    return [time.step.key for time in Walks(play.floor, play.shop).worked_between(start, end)]


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
    play.scan(piece, "printer 1", after_s=600)
    assert steps(play, 0, 600) == []
    assert steps(play, 600, 601) == ["pretreat", "underlayer"]


def test_each_figure_says_how_many_were_seen_derived_and_left_out(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    walk(play, one)
    walk(play, other, DARK_WALK[1:])
    found = step_weeks(play.shop, Walks(play.floor, play.shop).worked_between(*WEEK))
    pretreat, cure = found["pretreat"].processing_s, found["cure"].processing_s
    assert (pretreat.n, pretreat.derived, pretreat.assumed) == (1, 1, 1)
    assert (cure.n, cure.derived, cure.assumed, cure.mean) == (2, 0, 0, 180)


def test_a_step_after_an_assumed_one_has_no_queuing_time_to_count(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "printer 1")
    found = step_weeks(play.shop, Walks(play.floor, play.shop).worked_between(*WEEK))["underlayer"]
    assert (found.queuing_s.n, found.processing_s.n) == (0, 1)


def test_steps_stand_in_the_order_of_the_shop_file(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    found = step_weeks(play.shop, reversed(Walks(play.floor, play.shop).worked_between(*WEEK)))
    assert list(found) == ["pretreat", "underlayer", "inspect", "colour", "cure", "pack"]


# Cycles


def test_cycle_times_are_those_of_finished_pieces(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    walk(play, one)
    walk(play, other, DARK_WALK[:3])
    found = cycles(Walks(play.floor, play.shop), play.shop, finished(play), working=False)
    assert (found.n, found.mean, found.derived, found.assumed) == (1, 615, 1, 0)


def test_a_piece_whose_first_step_nobody_saw_is_left_out(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[1:])
    found = cycles(Walks(play.floor, play.shop), play.shop, finished(play), working=False)
    assert (found.n, found.mean, found.assumed) == (0, None, 1)


def test_working_time_leaves_the_night_out(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:6])
    play.scan(piece, "packing", at=MONDAY + timedelta(days=1))
    elapsed, working = (
        cycles(Walks(play.floor, play.shop), play.shop, finished(play), working=each) for each in (False, True)
    )
    assert (elapsed.mean, working.mean) == (24 * 3600, 8.5 * 3600)


# First pass yield


def test_parts_good_at_their_first_inspection_by_parts_inspected(play: Play) -> None:
    pieces = play.job(sizes={"M": 4})
    for code in pieces:
        walk(play, code, DARK_WALK[:3])
    assert quantities(play.floor, play.shop, *WEEK).first_pass_yield == 1
    play.spoil(pieces[-1], "inspection")
    assert quantities(play.floor, play.shop, *WEEK).first_pass_yield == 3 / 4


def test_a_part_that_is_spoiled_instead_of_passed_was_not_good(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    walk(play, one, DARK_WALK[:3])
    walk(play, other, DARK_WALK[:2])
    spoil(play, other, "inspection")
    assert quantities(play.floor, play.shop, *WEEK).first_pass_yield == 1 / 2


def test_what_is_spoiled_after_its_inspection_had_passed_it(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:4])
    spoil(play, piece, "printer 1")
    assert quantities(play.floor, play.shop, *WEEK).first_pass_yield == 1


def test_what_is_spoiled_before_it_comes_to_inspection_was_not_inspected(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    spoil(play, piece, "pretreat booth")
    assert quantities(play.floor, play.shop, *WEEK).first_pass_yield is None


def test_a_route_without_an_inspection_has_no_yield(play: Play) -> None:
    [piece] = play.job(colour="white")
    walk(play, piece, DARK_WALK[3:])
    assert quantities(play.floor, play.shop, *WEEK).first_pass_yield is None


def test_a_remake_is_a_second_part_with_a_first_inspection_of_its_own(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:2])
    spoil(play, piece, "inspection")
    remake = play.piece(piece).remake or ""
    play.now += timedelta(minutes=5)
    walk(play, remake, DARK_WALK[:3])
    assert quantities(play.floor, play.shop, *WEEK).first_pass_yield == 1 / 2


def test_a_week_counts_from_its_first_moment_on_and_not_at_its_end(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:3])
    later = play.now + timedelta(days=7)
    assert quantities(play.floor, play.shop, play.now, later).first_pass_yield == 1
    assert quantities(play.floor, play.shop, MONDAY, play.now).first_pass_yield is None


def test_inspections_of_another_week_do_not_count(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:3])
    assert quantities(play.floor, play.shop, WEEK[1], WEEK[1] + timedelta(days=7)).first_pass_yield is None


def test_good_and_scrapped_pieces_are_all_that_were_produced(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    walk(play, one)
    spoil(play, other, "pretreat booth")
    made = quantities(play.floor, play.shop, *WEEK)
    assert (made.produced, made.quality_ratio, made.scrap_ratio, made.rework_ratio) == (2, 0.5, 0.5, 0)


# Stations


def test_the_times_of_a_station_are_those_of_all_that_was_done_there(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    worked = Walks(play.floor, play.shop).worked_between(*WEEK)
    found = station_weeks(play.shop, worked)
    assert list(found) == ["pretreat booth", "printer 1", "inspection", "press 1", "packing"]
    printer = found["printer 1"].processing_s
    assert (printer.n, printer.mean, printer.derived) == (2, 145, 2)


def test_working_times_leave_the_night_out(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:6])
    play.scan(piece, "packing", at=MONDAY + timedelta(days=1))
    worked = Walks(play.floor, play.shop).worked_between(*WEEK)
    in_all, in_hours = (step_weeks(play.shop, worked, each)["pack"] for each in (elapsed, play.shop.hours.working))
    assert (in_all.queuing_s.mean, in_hours.queuing_s.mean) == (24 * 3600 - 595 - 20, 8.5 * 3600 - 595 - 20)
    assert (in_all.processing_s.mean, in_hours.processing_s.mean) == (20, 20)


def test_the_use_of_machines_is_told_in_seconds(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    printer, press = machine_weeks(Walks(play.floor, play.shop), play.shop, MONDAY, MONDAY + timedelta(hours=1))
    assert (printer.station, printer.busy_s, printer.derived) == ("printer 1", 290, 2)
    assert (press.station, press.busy_s, press.producing_s, press.delayed_s) == ("press 1", 180, 180, 0)
    assert (press.allocation_efficiency, press.utilization_efficiency, press.planned_open_s) == (0.05, 1, 3600)


def test_a_week_that_has_not_begun_has_no_use(play: Play) -> None:
    assert machine_weeks(Walks(play.floor, play.shop), play.shop, MONDAY, MONDAY) == []


# Rates


def test_a_rate_is_by_the_hour() -> None:
    assert per_hour(30, timedelta(hours=4)) == 7.5


def test_without_time_there_is_no_rate() -> None:
    assert per_hour(30, timedelta(0)) is None
