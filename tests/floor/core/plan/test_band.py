"""The band around a forecast: as wide as past forecasts were wrong, in working time."""

from datetime import timedelta

import pytest

from floor.core.plan.band import Foretold, band, past_forecasts, reach
from floor.core.plan.board import board
from floor.core.plan.forecast import expected_finishes, foretell
from shared.events.jobs import JobForetold
from tests.making import MONDAY, Play, shop, walk

HOURS = shop().hours
HOUR = timedelta(hours=1)


def past(*late_h: float) -> list[Foretold]:
    """Forecasts for two hours ahead, and by how many hours each job missed its own."""
    expected = MONDAY + 2 * HOUR
    return [Foretold(MONDAY, expected, expected + late * HOUR) for late in late_h]


def test_with_eight_past_forecasts_there_is_no_band() -> None:
    assert reach(past(*[1] * 8), HOURS) is None
    assert reach(past(*[1] * 9), HOURS) is not None


def test_a_job_that_was_early_counts_like_one_that_was_as_much_late() -> None:
    assert reach(past(*[-0.75] * 9), HOURS) == reach(past(*[0.75] * 9), HOURS) == 0.25


def test_one_wild_miss_in_twenty_does_not_widen_the_band() -> None:
    assert reach(past(*[0.75] * 19, 24), HOURS) == 0.25


def test_a_night_in_between_does_not_count() -> None:
    overnight = [Foretold(MONDAY, MONDAY + 3 * HOUR, MONDAY + 24 * HOUR)] * 9
    worked = HOURS.working(MONDAY + 3 * HOUR, MONDAY + 24 * HOUR) / HOUR
    assert reach(overnight, HOURS) == pytest.approx(worked / (HOURS.working(MONDAY, MONDAY + 3 * HOUR) / HOUR + 1))


def test_a_band_is_as_far_on_both_sides_and_begins_no_earlier_than_now() -> None:
    near = band(MONDAY, MONDAY + 2 * HOUR, 0.5, HOURS)
    assert (near.earliest, near.latest) == (MONDAY + 0.5 * HOUR, HOURS.add_working(MONDAY, 3.5 * HOUR))
    assert band(MONDAY, MONDAY + HOUR, 2.0, HOURS).earliest == MONDAY


def test_a_finished_job_with_a_forecast_counts() -> None:
    play = Play()
    [piece] = play.job()
    play.happens(JobForetold(job="J0001", expected=MONDAY + HOUR))
    assert past_forecasts(play.floor) == []
    walk(play, piece)
    [found] = past_forecasts(play.floor)
    assert found == Foretold(MONDAY, MONDAY + HOUR, play.now)


@pytest.mark.parametrize("what", ["held", "cancelled", "not foretold"])
def test_a_job_that_could_not_show_it_does_not(what: str) -> None:
    play = Play()
    one, _ = play.job(sizes={"M": 2})
    if what != "not foretold":
        play.happens(JobForetold(job="J0001", expected=MONDAY + HOUR))
    if what == "held":
        play.hold()
        play.release()
    walk(play, one)
    if what == "cancelled":
        play.cancel()
    assert past_forecasts(play.floor) == []


def test_a_new_job_s_forecast_is_noted_once() -> None:
    play = Play()
    play.job()
    play.job(sizes={"M": 3})
    play.hold("J0002")

    def noted() -> list[str]:
        facts = foretell(play.floor, expected_finishes(play.floor, play.shop, play.now), play.now)
        play.record(facts)
        return [fact.event.stream for fact in facts]

    assert noted() == ["J0001"]
    assert noted() == []
    play.release("J0002")
    assert noted() == ["J0002"]
    assert play.floor.jobs["J0001"].foretold == (MONDAY, MONDAY + timedelta(seconds=615))


def test_the_board_shows_the_band_once_there_are_enough_past_forecasts() -> None:
    play = Play()
    for _ in range(9):
        [piece] = play.job()
        play.record(foretell(play.floor, expected_finishes(play.floor, play.shop, play.now), play.now))
        walk(play, piece)
    play.job()
    [job] = board(play.floor, play.shop, play.now).jobs
    assert job.expected_finish is not None
    assert job.expected_between is not None
    assert job.expected_between.earliest <= job.expected_finish <= job.expected_between.latest
