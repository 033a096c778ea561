"""How near to its limit the ink came before a press closed."""

from datetime import timedelta

from msgspec.structs import replace

from floor.core.figures.wet import wet_weeks
from floor.core.times.cycle import StepTime, Walks
from tests.making import DARK_WALK, MONDAY, Play, walk


def cured_after(*waits_s: float) -> list[StepTime]:
    """Steps of a week in which pieces waited so long, wet, for the press; its limit is the new shop's."""
    play = Play()
    for piece, wait_s in zip(play.job(sizes={"M": len(waits_s)}), waits_s, strict=True):
        printed, closed = DARK_WALK[:4], DARK_WALK[4:]
        walk(play, piece, printed)
        walk(play, piece, [(closed[0][0], wait_s), *closed[1:]])
    return Walks(play.floor, play.shop).worked_between(MONDAY, MONDAY + timedelta(days=7))


def test_pieces_are_counted_by_the_part_of_the_limit_that_they_waited() -> None:
    [week] = wet_weeks(cured_after(10, 299, 301, 1_200, 1_201))
    assert week.limit_s == 1_200
    assert (list(week.within), week.over) == ([2, 1, 0, 1], 1)


def test_every_piece_whose_wet_time_is_known_is_counted_once() -> None:
    times = cured_after(10, 500, 3_000)
    lost = [replace(time, ready=None) if time.step.kind == "dwell" and n < 8 else time for n, time in enumerate(times)]
    [week] = wet_weeks(lost)
    assert sum(week.within) + week.over == week.wet_s.n == 2


def test_each_limit_is_told_for_itself_the_lowest_first() -> None:
    times = cured_after(10, 20)
    other = [replace(time, step=replace(time.step, wait_limit_s=60.0)) for time in times]
    assert [week.limit_s for week in wet_weeks([*times, *other])] == [60, 1_200]


def test_a_step_without_a_limit_says_nothing() -> None:
    times = [replace(time, step=replace(time.step, wait_limit_s=None)) for time in cured_after(10)]
    assert wet_weeks(times) == []
