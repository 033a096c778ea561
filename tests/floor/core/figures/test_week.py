"""The week's report: what was made, what it was quoted at, what it cost, and why."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from tests.floor.core.figures.weeks import SCORCH, STAIN, report, spoil
from tests.making import DARK_WALK, MONDAY, Play, shop_assuming, walk


@pytest.fixture
def play() -> Play:
    return Play()


# What was made


def test_pieces_are_finished_spoiled_or_open(play: Play) -> None:
    one, other, _ = play.job(sizes={"M": 3})
    walk(play, one)
    spoil(play, other)
    found = report(play)
    assert (found.finished, found.spoiled, found.open) == (1, 1, 2)


def test_a_week_runs_from_monday_s_first_moment_to_sunday_s_last_in_the_shop_s_zone(play: Play) -> None:
    play.now = MONDAY + timedelta(days=30)
    found = report(play)
    assert found.start == datetime(2026, 11, 23, 5, tzinfo=UTC)
    assert found.until == datetime(2026, 11, 30, 5, tzinfo=UTC)


def test_a_week_that_still_runs_is_told_up_to_now(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    assert report(play).until == play.now
    assert report(play).finished == 1


def test_a_week_that_has_not_begun_is_empty(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    found = report(play, "2026-W50")
    assert (found.finished, found.jobs, found.throughput_per_hour) == (0, [], None)


def test_the_last_days_of_a_year_may_belong_to_its_53rd_week(play: Play) -> None:
    play.now = datetime(2027, 1, 1, 14, tzinfo=UTC)
    [piece] = play.job()
    walk(play, piece)
    assert report(play, "2026-W53").finished == 1
    assert report(play, "2027-W01").finished == 0


@pytest.mark.parametrize("week", ["2026-W54", "2026-48", "last", ""])
def test_what_is_no_week_is_a_value_error(play: Play, week: str) -> None:
    with pytest.raises(ValueError, match="week"):
        report(play, week)


def test_a_week_without_work_says_so(play: Play) -> None:
    found = report(play)
    assert found.says == "Nothing was finished or spoiled this week."
    assert found.total.quoted["total"] == found.total.actual["total"] == Decimal("0.00")
    assert (found.first_pass_yield, found.cycle_time_s.n) == (None, 0)


def test_a_job_across_two_weeks_is_told_in_both(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    walk(play, one)
    play.now += timedelta(days=7)
    walk(play, other)
    first, second = report(play), report(play, "2026-W49")
    assert (first.finished, first.open) == (1, 1)
    assert (second.finished, second.open) == (1, 0)
    assert first.jobs[0].price == second.jobs[0].price == Decimal("21.50")


def test_a_piece_that_was_given_up_later_was_open_in_the_week_before(play: Play) -> None:
    play.job()
    play.now += timedelta(days=7)
    play.cancel()
    assert (report(play).open, report(play, "2026-W49").open) == (1, 0)


# Why it was spoiled


def test_the_costliest_reason_comes_first(play: Play) -> None:
    one, other, third = play.job(sizes={"M": 3})
    spoil(play, one, reason=STAIN)
    spoil(play, third, reason=STAIN)
    walk(play, other, DARK_WALK[:6])
    spoil(play, other, "press 1", reason=SCORCH)
    found = report(play).spoiled_by_reason
    assert [(each.reason, each.pieces) for each in found] == [("scorch", 1), ("stain", 2)]
    assert found[1].cost == 2 * Decimal("2.00"), "two blanks"


# Late jobs


def test_a_job_finished_after_it_was_due_was_late(play: Play) -> None:
    [piece] = play.job(due=MONDAY + timedelta(seconds=600))
    walk(play, piece)
    assert report(play).late_jobs == ["J0001"]


def test_how_late_is_told_with_it_the_latest_first(play: Play) -> None:
    [piece] = play.job(due=MONDAY + timedelta(seconds=600))
    play.job(due=MONDAY)
    walk(play, piece)
    play.now = MONDAY + timedelta(hours=1)
    still_open, finished = report(play).late
    assert (still_open.job, still_open.finished, still_open.late_s) == ("J0002", None, 3600)
    assert (finished.job, finished.finished, finished.late_s) == ("J0001", MONDAY + timedelta(seconds=615), 15)


def test_a_job_finished_when_it_was_due_was_not_late(play: Play) -> None:
    [piece] = play.job(due=MONDAY + timedelta(seconds=615))
    walk(play, piece)
    play.now += timedelta(hours=1)
    assert report(play).late_jobs == []


def test_a_job_is_late_by_its_last_piece(play: Play) -> None:
    one, other = play.job(sizes={"M": 2}, due=MONDAY + timedelta(seconds=700))
    walk(play, one)
    walk(play, other)
    play.now += timedelta(hours=1)
    assert report(play).late_jobs == ["J0001"]


def test_a_job_that_is_due_and_still_open_is_late(play: Play) -> None:
    play.job(due=MONDAY + timedelta(hours=1))
    assert report(play).late_jobs == []
    play.now += timedelta(hours=2)
    assert report(play).late_jobs == ["J0001"]


def test_a_job_that_was_late_last_week_is_not_late_again(play: Play) -> None:
    [piece] = play.job(due=MONDAY)
    walk(play, piece)
    play.now += timedelta(days=7)
    assert report(play, "2026-W49").late_jobs == []
    assert report(play).late_jobs == ["J0001"]


def test_a_job_that_was_given_up_is_not_late(play: Play) -> None:
    play.job(due=MONDAY)
    play.cancel()
    play.now += timedelta(hours=2)
    assert report(play).late_jobs == []


def test_a_week_does_not_know_of_jobs_that_were_taken_after_it(play: Play) -> None:
    play.now += timedelta(days=14)
    play.job(due=MONDAY)
    assert report(play).late_jobs == []


# Throughput and ink


def test_throughput_is_what_was_finished_by_the_hours_that_were_worked(play: Play) -> None:
    pieces = play.job(sizes={"M": 2})
    for code in pieces:
        walk(play, code)
    play.now = MONDAY + timedelta(hours=3)  # noon; the shop opened at eight
    assert report(play).throughput_per_hour == 2 / 4


def test_ink_is_counted_by_what_every_print_of_the_week_lays_down(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    walk(play, one)
    walk(play, other, DARK_WALK[:2])
    ink = report(play).ink
    uses = {step.key: step.uses for step in play.piece(one).route}
    place = Decimal("0.001")
    assert ink["white"].printed_ml == (2 * uses["underlayer"].white_ml).quantize(place)
    assert ink["colour"].printed_ml == uses["colour"].colour_ml.quantize(place)
    assert (ink["white"].drawn_ml, ink["white"].lost_ml) == (None, None)


def test_a_print_that_was_spoiled_has_used_its_ink(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:2])
    before = report(play).ink
    spoil(play, piece)
    assert report(play).ink == before


def test_a_print_that_nobody_scanned_has_used_its_ink() -> None:
    play = Play(shop_assuming("underlayer"))
    [piece] = play.job()
    play.scan(piece, "inspection", after_s=600)
    assert report(play).ink["white"].printed_ml > 0
