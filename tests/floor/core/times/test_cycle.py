"""Times of pieces: queuing, processing and cycle time, worked out by hand."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.core.times.cycle import StepTime, Walks, cycle_time, figures, standard_s
from shared.codes import CodeType
from shared.files.cards import UNDO
from tests.floor.plays import Act, days, played
from tests.making import DARK_WALK, MONDAY, Play, card, walk

A = card(CodeType.BADGE, "A")
B = card(CodeType.BADGE, "B")


@pytest.fixture
def play() -> Play:
    """One pair of hands walks all stations."""
    play = Play()
    play.badge = "A"
    return play


def times(play: Play, code: str) -> dict[str, StepTime]:
    return {time.step.label: time for time in Walks(play.floor, play.shop).of(play.piece(code))}


def processing_s(time: StepTime) -> float | None:
    return None if time.processing is None else time.processing.total_seconds()


def queuing_s(time: StepTime) -> float | None:
    return None if time.queuing is None else time.queuing.total_seconds()


# Steps whose two ends are seen


def test_a_cure_takes_from_press_closed_to_press_opened(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:5])
    play.scan(piece, "press 1", after_s=200)
    cure = times(play, piece)["cure"]
    assert (processing_s(cure), cure.derived) == (200, False)


def test_queuing_lasts_from_the_end_of_one_step_to_the_start_of_the_next(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:4])
    play.scan(piece, "press 1", after_s=75)
    assert queuing_s(times(play, piece)["cure"]) == 75


def test_a_step_that_is_under_way_has_a_start_and_no_end(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:5])
    cure = times(play, piece)["cure"]
    assert (cure.started, cure.done, cure.processing) == (play.now, None, None)


def test_a_step_that_lies_ahead_has_no_times(play: Play) -> None:
    [piece] = play.job()
    pack = times(play, piece)["pack"]
    assert (pack.started, pack.done, pack.ready, pack.derived, pack.assumed) == (None, None, None, False, False)


# Steps of which only the end is seen: pretreat has a standard of 90 s


def test_the_start_is_the_last_read_of_the_same_hands(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth", after_s=300)
    play.scan(other, "pretreat booth", after_s=120)
    pretreat = times(play, other)["pretreat"]
    assert (processing_s(pretreat), pretreat.derived) == (120, True)


def test_a_read_two_standards_before_the_end_is_the_start_still(play: Play) -> None:
    assert gap_and_time(play, 2 * 90) == (2 * 90, False)


def test_hands_that_read_nothing_for_longer_were_elsewhere_and_the_standard_stands_in(play: Play) -> None:
    assert gap_and_time(play, 2 * 90 + 1) == (90, True)


def gap_and_time(play: Play, gap_s: float) -> tuple[float | None, bool]:
    """What two pieces that are pretreated so far apart make of the second, and whether the standard stands in."""
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth", after_s=300)
    play.scan(other, "pretreat booth", after_s=gap_s)
    pretreat = times(play, other)["pretreat"]
    return processing_s(pretreat), pretreat.stood_in


def test_hands_that_were_idle_began_when_the_piece_came(play: Play) -> None:
    """The inspector read nothing for long, but the piece came just 25 s before."""
    one, other = play.job(sizes={"M": 2})
    walk(play, one, DARK_WALK[:3])
    play.scan(other, "pretreat booth", after_s=3_000)
    play.scan(other, "printer 1", after_s=150)
    play.scan(other, "inspection", after_s=25)
    inspect = times(play, other)["inspect"]
    assert (processing_s(inspect), inspect.stood_in) == (25, False)


def test_where_nothing_was_read_before_the_standard_stands_in(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth", after_s=1000)
    pretreat = times(play, piece)["pretreat"]
    assert (processing_s(pretreat), queuing_s(pretreat), pretreat.derived) == (90, 910, True)


def test_the_start_is_not_before_the_step_before_was_done(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    for code in (one, other):
        play.scan(code, "pretreat booth", after_s=90)
    play.scan(one, "printer 1", after_s=100)
    walk(play, one, DARK_WALK[2:3])
    play.scan(one, "printer 1", after_s=10)
    play.scan(other, "printer 1", after_s=50)
    walk(play, other, DARK_WALK[2:3])
    play.scan(other, "printer 1", after_s=30)
    colour = times(play, other)["colour"]
    assert (processing_s(colour), queuing_s(colour)) == (30, 0)


def test_the_start_is_not_before_the_piece_was_opened(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth", after_s=40)
    assert processing_s(times(play, piece)["pretreat"]) == 40


def test_other_hands_at_the_station_are_no_start(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth", after_s=300, badge="A")
    play.scan(other, "pretreat booth", after_s=20, badge="B")
    assert processing_s(times(play, other)["pretreat"]) == 90


def test_the_same_hands_were_at_another_station_before(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "printer 1", after_s=300, badge="A")
    play.scan(other, "pretreat booth", after_s=70, badge="A")
    assert processing_s(times(play, other)["pretreat"]) == 70


def test_a_read_that_was_refused_shows_where_the_hands_were(play: Play) -> None:
    [piece] = play.job()
    play.scan("noise", "pretreat booth", after_s=300)
    play.scan(piece, "pretreat booth", after_s=70)
    assert processing_s(times(play, piece)["pretreat"]) == 70


def test_a_late_read_finds_its_place_among_the_reads_of_its_station(play: Play) -> None:
    one, two, three = play.job(sizes={"M": 3})
    play.scan(one, "pretreat booth", at=MONDAY + timedelta(seconds=600))
    play.scan(three, "pretreat booth", at=MONDAY + timedelta(seconds=720))
    assert processing_s(times(play, three)["pretreat"]) == 120
    play.scan(two, "pretreat booth", at=MONDAY + timedelta(seconds=650))
    assert processing_s(times(play, two)["pretreat"]) == 50
    assert processing_s(times(play, three)["pretreat"]) == 70


# Assumed steps


def test_an_assumed_step_has_no_times(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "printer 1")
    pretreat = times(play, piece)["pretreat"]
    assert (pretreat.started, pretreat.done, pretreat.assumed) == (None, None, True)
    assert (pretreat.queuing, pretreat.processing) == (None, None)


def test_after_an_assumed_step_nobody_knows_how_long_the_piece_queued(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "printer 1")
    underlayer = times(play, piece)["underlayer"]
    assert (underlayer.queuing, underlayer.assumed, processing_s(underlayer)) == (None, False, 150)


def test_an_assumed_step_counts_where_a_later_read_showed_it(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "printer 1")
    assert times(play, piece)["pretreat"].over == play.now


def test_an_assumed_step_that_is_told_after_all_has_its_times(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "printer 1", after_s=600)
    play.scan(piece, "pretreat booth", at=MONDAY + timedelta(seconds=300))
    told = times(play, piece)
    assert (processing_s(told["pretreat"]), told["pretreat"].assumed) == (90, False)
    assert queuing_s(told["underlayer"]) == 600 - 150 - 300


def test_a_step_that_was_taken_back_has_no_times(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    play.scan(card(CodeType.COMMAND, UNDO), "pretreat booth", after_s=5)
    assert times(play, piece)["pretreat"].done is None


def test_a_clock_that_went_back_makes_no_time_negative(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth", after_s=600)
    play.scan(piece, "printer 1", at=play.now - timedelta(seconds=300))
    underlayer = times(play, piece)["underlayer"]
    assert (queuing_s(underlayer), processing_s(underlayer)) == (0, 0)


@given(days)
def test_no_time_is_negative_and_no_derived_one_longer_than_three_standards(acts: list[Act]) -> None:
    play = played(acts)
    for piece in play.floor.pieces.values():
        for time in Walks(play.floor, play.shop).of(piece):
            assert time.queuing is None or time.queuing >= timedelta(0)
            assert time.processing is None or time.processing >= timedelta(0)
            if time.derived and time.processing is not None:
                assert time.processing.total_seconds() <= 3 * standard_s(time.step)


# Cycle time


def test_the_cycle_runs_from_the_first_start_to_the_last_end(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    cycle = cycle_time(Walks(play.floor, play.shop).of(play.piece(piece)), play.shop.hours)
    assert cycle is not None
    assert (cycle.elapsed, cycle.working) == (timedelta(seconds=615), timedelta(seconds=615))


def test_a_piece_that_is_not_finished_has_no_cycle_time(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:6])
    assert cycle_time(Walks(play.floor, play.shop).of(play.piece(piece)), play.shop.hours) is None


def test_without_steps_there_is_no_cycle_time(play: Play) -> None:
    assert cycle_time([], play.shop.hours) is None


def test_queuing_and_processing_add_up_to_the_time_from_ticket_to_packed(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    parts = [(queuing_s(time) or 0) + (processing_s(time) or 0) for time in times(play, piece).values()]
    assert sum(parts) == (play.now - MONDAY).total_seconds()


# Figures


def test_figures_of_nothing_are_none() -> None:
    none = figures([], derived=1, assumed=2)
    assert (none.n, none.median, none.p90, none.mean, none.derived, none.assumed) == (0, None, None, None, 1, 2)


def test_figures_of_one_are_that_one() -> None:
    one = figures([timedelta(seconds=7)])
    assert (one.n, one.median, one.p90, one.mean) == (1, 7, 7, 7)


def test_the_90th_percentile_lies_between_the_order_statistics_as_in_a_spreadsheet() -> None:
    eleven = figures(timedelta(seconds=n) for n in range(11))
    assert (eleven.median, eleven.p90, eleven.mean) == (5, 9, 5)
    four = figures(timedelta(seconds=n) for n in (10, 20, 30, 40))
    assert (four.median, four.mean) == (25, 25)
    assert four.p90 == pytest.approx(37)


def test_the_middle_half_and_the_tenth_percentile_are_told_too() -> None:
    eleven = figures(timedelta(seconds=n) for n in range(11))
    assert (eleven.p10, eleven.p25, eleven.p75) == (1, 2.5, 7.5)


@given(st.lists(st.timedeltas(timedelta(0), timedelta(days=9)), min_size=1))
def test_figures_do_not_hang_on_the_order(durations: list[timedelta]) -> None:
    assert figures(durations) == figures(reversed(durations))
