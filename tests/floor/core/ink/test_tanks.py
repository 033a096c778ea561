"""The tanks: what should be in them, and until when it lasts."""

from datetime import timedelta

import pytest

from floor.core.ink.tanks import Tanks, level, refill, tanks
from floor.core.state.floor import Floor
from shared.files.shop import parse_shop
from shared.wish import NotPossible
from tests.floor.core.ink import inked
from tests.floor.core.ink.inked import ml, printed_pieces, read, refilled
from tests.making import MONDAY, Play, shop, shop_data


@pytest.fixture
def play() -> Play:
    return Play()


def white(play: Play) -> Tanks:
    return tanks(play.floor, play.shop, play.now)[0]


def test_what_should_be_left_is_the_level_and_the_refills_less_the_prints(play: Play) -> None:
    at = inked.level(play, "900")
    [piece] = printed_pieces(play, 1)
    read(play, piece, white="2.5")
    refilled(play, "100")
    play.now += timedelta(seconds=1)
    found = white(play)
    assert (found.level_ml, found.at, found.refilled_ml, found.printed_ml) == (ml("900"), at, ml("100"), ml("2.5"))
    assert found.expected_ml == ml("997.5")


def test_what_was_before_the_last_level_is_in_it(play: Play) -> None:
    [piece] = printed_pieces(play, 1)
    read(play, piece, white="2.5")
    refilled(play, "100")
    inked.level(play, "500")
    assert white(play).expected_ml == 500


def test_without_a_level_only_what_went_is_told(play: Play) -> None:
    [piece] = printed_pieces(play, 1)
    read(play, piece, white="2.5")
    play.now += timedelta(seconds=1)
    found = white(play)
    assert (found.level_ml, found.expected_ml, found.runs_out, found.week_ml) == (None, None, None, ml("2.5"))


def test_the_tanks_run_out_when_the_last_seven_days_would_have_emptied_them_in_opening_hours(play: Play) -> None:
    """100 ml went in seven days, 50 are left: half of a week's working time from now."""
    inked.level(play, "150")
    play.now += timedelta(hours=3)
    inked.level(play, "50")
    found = white(play)
    assert found.week_ml == 100
    assert found.runs_out is not None
    hours = play.shop.hours
    week = hours.working(play.now - timedelta(days=7), play.now)
    assert hours.working(play.now, found.runs_out) == week / 2


def test_empty_tanks_have_run_out(play: Play) -> None:
    inked.level(play, "10")
    play.now += timedelta(hours=1)
    inked.level(play, "0")
    assert white(play).runs_out == play.now


def test_ink_that_nobody_prints_does_not_run_out(play: Play) -> None:
    inked.level(play, "10")
    assert white(play).runs_out is None


def test_nobody_plans_ink_for_more_than_a_year(play: Play) -> None:
    inked.level(play, "10000")
    play.now += timedelta(hours=1)
    inked.level(play, "9999")
    assert white(play).runs_out is None


@pytest.mark.parametrize("amount", ["-1", "20000.1"])
def test_more_than_the_tanks_hold_and_less_than_nothing_is_refused(amount: str) -> None:
    with pytest.raises(NotPossible, match="allowed is 0 to 20000 ml"):
        level(shop(), "white", ml(amount), MONDAY)
    with pytest.raises(NotPossible, match="ml of white ink cannot be"):
        refill(Floor(), shop(), "white", ml(amount), MONDAY)


def test_the_shop_file_says_what_the_tanks_hold() -> None:
    inks = {**shop_data()["inks"], "white": {"tank_ml": 500}}
    with pytest.raises(NotPossible, match="0 to 500 ml"):
        level(parse_shop(shop_data(inks=inks)), "white", ml("501"), MONDAY)


def test_a_refill_of_nothing_takes_back_the_one_of_its_moment_and_is_refused_where_there_is_none(play: Play) -> None:
    inked.level(play, "100")
    at = refilled(play, "50")
    play.record([refill(play.floor, play.shop, "white", ml("0"), at)])
    play.now += timedelta(seconds=1)
    assert white(play).expected_ml == 100
    with pytest.raises(NotPossible, match="Nothing was filled in"):
        refill(play.floor, play.shop, "white", ml("0"), play.now)
