"""The ink of a week."""

from decimal import Decimal

from floor.core.figures.ink import ink_week
from floor.core.figures.week import week_report
from floor.core.state.closed_weeks import ClosedWeek
from tests.floor.core.ink import inked
from tests.floor.core.ink.inked import printed_pieces, read
from tests.making import MONDAY, Play

WEEK = "2026-W48"


def test_what_is_shown_as_lost_is_what_is_shown_as_drawn_less_what_is_shown_as_printed() -> None:
    play = Play()
    start, end = play.shop.hours.week_bounds(WEEK)
    inked.level(play, "900")
    for piece in printed_pieces(play, 3):
        read(play, piece, white="1.0004")
    inked.level(play, "890.0005")
    white = ink_week(play.floor, start, end)["white"]
    assert (white.printed_ml, white.drawn_ml, white.lost_ml) == tuple(map(Decimal, ("3.001", "10.000", "6.999")))
    assert (white.prints, white.read) == (3, 3)


def test_a_reading_that_comes_after_its_week_was_reported_changes_that_week() -> None:
    play = Play()
    [piece] = printed_pieces(play, 1)
    before = week_report(play.floor, play.shop, WEEK, play.now)
    read(play, piece, white="9.5")
    after = week_report(play.floor, play.shop, WEEK, play.now)
    assert after.ink["white"].printed_ml == Decimal("9.5") != before.ink["white"].printed_ml
    assert after.ink["white"].read == 1


def test_the_report_of_a_week_knows_that_a_late_reading_came_for_it() -> None:
    play = Play()
    [piece] = printed_pieces(play, 1)
    _, end = play.shop.hours.week_bounds(WEEK)
    play.floor.closed_weeks.close(WEEK, ClosedWeek(end, 0, ""))
    play.now = end + (end - MONDAY)
    read(play, piece, white="9.5")
    assert play.floor.closed_weeks.weeks[WEEK].late
