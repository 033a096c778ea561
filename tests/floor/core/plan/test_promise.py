"""What a job would come to if it were taken now, before it is."""

from datetime import timedelta

from floor.core.orders.jobs import take
from floor.core.plan.promise import Promise, promise
from shared.files.jobfile import parse_job
from tests.making import MONDAY, Play, job_data, walk

HOUR = timedelta(hours=1)


def asked(play: Play, **wishes: object) -> Promise:
    """A job that is asked for, and not taken."""
    file = parse_job(job_data(**wishes), play.shop)  # type: ignore[arg-type]
    taken = take(play.floor, play.shop, file, play.now)
    return promise(play.floor, play.shop, taken.job, taken.facts, play.now)


def test_on_an_empty_floor_a_piece_is_done_after_its_own_walk() -> None:
    assert asked(Play()).expected == MONDAY + timedelta(seconds=90 + 150 + 15 + 140 + 200 + 20)


def test_work_that_is_due_before_it_comes_first() -> None:
    play = Play()
    play.job(sizes={"M": 10}, due=MONDAY + 3 * HOUR)
    behind = asked(play, due=MONDAY + 96 * HOUR).expected
    alone = asked(Play()).expected
    assert behind is not None
    assert alone is not None
    assert behind > alone


def test_a_job_that_cannot_be_in_time_is_late() -> None:
    assert asked(Play(), sizes={"M": 50}, due=MONDAY + HOUR).late
    assert not asked(Play(), due=MONDAY + HOUR).late


def test_it_names_the_jobs_that_it_would_make_late() -> None:
    play = Play()
    play.job(sizes={"M": 8}, due=MONDAY + 1.2 * HOUR)
    told = asked(play, sizes={"M": 12}, due=MONDAY + 1.1 * HOUR)
    assert told.late or told.makes_late == ("J0001",)
    assert "J0002" not in told.makes_late


def test_without_past_forecasts_there_is_no_band() -> None:
    assert asked(Play()).band is None


def test_a_finished_job_does_not_stand_in_the_way() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece)
    expected = asked(play).expected
    assert expected is not None
    assert expected - play.now == timedelta(seconds=615)
