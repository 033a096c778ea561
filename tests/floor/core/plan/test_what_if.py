"""The same floor in another shop."""

from datetime import timedelta
from decimal import Decimal

import pytest
from hypothesis import given

from floor.core.plan.what_if import Then, WhatIf, changed, then
from shared.codes import CodeType
from shared.files.cards import STATION_DOWN
from shared.files.shop import parse_shop
from tests.floor.plays import Act, days, played
from tests.making import DARK_WALK, LIGHT_WALK, MONDAY, Play, card, shop, shop_data, walk

HOUR = timedelta(hours=1)
DOWN = card(CodeType.COMMAND, STATION_DOWN)


def come_of(play: Play, change: WhatIf | None = None) -> Then:
    return then(play.floor, changed(play.shop, change or WhatIf()), play.now)


@pytest.fixture
def busy() -> Play:
    """Twenty dark garments; the press is the slowest for light ones, the printer for dark ones."""
    play = Play()
    play.job(sizes={"M": 20})
    return play


def test_no_change_changes_nothing(busy: Play) -> None:
    assert come_of(busy) == then(busy.floor, busy.shop, busy.now)


def test_the_busiest_station_is_the_bottleneck(busy: Play) -> None:
    told = come_of(busy)
    assert told.bottleneck == "printer 1"
    assert told.busy is not None
    assert 0.8 < told.busy <= 1


def test_another_printer_is_sooner_done_and_moves_the_bottleneck(busy: Play) -> None:
    as_it_is, other = come_of(busy), come_of(busy, WhatIf(printers=1))
    assert as_it_is.all_done is not None
    assert other.all_done is not None
    assert other.all_done < as_it_is.all_done
    assert other.bottleneck == "press 1"


def test_another_press_does_not_help_where_the_printer_is_slow(busy: Play) -> None:
    assert come_of(busy, WhatIf(presses=1)).bottleneck == "printer 1"


def test_longer_hours_bring_tomorrow_into_today() -> None:
    play = Play()
    play.job(sizes={"M": 120})
    as_it_is, other = come_of(play), come_of(play, WhatIf(openings={"mon": ["00:00-24:00"]}))
    assert as_it_is.all_done is not None
    assert other.all_done is not None
    assert (other.all_done - MONDAY) < timedelta(hours=15) < (as_it_is.all_done - MONDAY)


def test_a_late_job_may_be_in_time_then() -> None:
    play = Play()
    play.job(sizes={"M": 20}, due=MONDAY + 1.5 * HOUR)
    assert come_of(play).late == ("J0001",)
    assert come_of(play, WhatIf(printers=2, presses=2, hands=4)).late == ()


@pytest.mark.parametrize("change", [WhatIf(presses=-1), WhatIf(printers=-1), WhatIf(hands=-2)])
def test_something_of_each_kind_must_be_left(change: WhatIf) -> None:
    with pytest.raises(ValueError, match="at least one must be left"):
        changed(shop(), change)


def test_a_shop_without_badges_has_as_many_hands_as_it_needs() -> None:
    with pytest.raises(ValueError, match="has no badges"):
        changed(parse_shop(shop_data(badges=[])), WhatIf(hands=1))


def test_an_empty_floor_has_nothing_to_wait_for() -> None:
    play = Play()
    told = come_of(play)
    assert (told.finishes, told.all_done, told.bottleneck, told.cost_per_piece) == ({}, None, None, None)


def test_the_cost_of_a_piece_is_hands_and_machines_for_the_time_until_all_is_done() -> None:
    """By hand: 290 s at (19.50 + 9.50) + (18.00 + 9.50) + 6.00 + 4.00 = 66.50 an hour, for two pieces: 2.678…"""
    play = Play()
    play.job(colour="white", sizes={"M": 2})
    told = come_of(play)
    assert told.all_done == MONDAY + timedelta(seconds=290)
    assert told.cost_per_piece == Decimal("2.68")


def test_a_pair_of_hands_that_does_not_help_costs_more_a_piece(busy: Play) -> None:
    as_it_is, other = come_of(busy), come_of(busy, WhatIf(hands=5))
    assert as_it_is.cost_per_piece is not None
    assert other.cost_per_piece is not None
    assert other.cost_per_piece > as_it_is.cost_per_piece


# Where not all can be done


def test_with_no_press_at_work_nothing_is_done_and_nothing_costs(busy: Play) -> None:
    busy.scan(DOWN, "press 1")
    told = come_of(busy)
    assert (told.finishes, told.all_done, told.stopped) == ({"J0001": None}, None, ("cure",))
    assert (told.bottleneck, told.busy, told.cost_per_piece) == (None, None, None)


def test_what_one_job_can_be_done_with_is_not_what_all_are(busy: Play) -> None:
    [nearly] = busy.job()
    walk(busy, nearly, DARK_WALK[:6])
    busy.scan(DOWN, "press 1")
    told = come_of(busy)
    assert told.finishes["J0002"] is not None
    assert (told.all_done, told.bottleneck, told.busy, told.cost_per_piece) == (None, None, None, None)


def test_another_press_gets_what_was_stuck_done(busy: Play) -> None:
    busy.scan(DOWN, "press 1")
    told = come_of(busy, WhatIf(presses=1))
    assert (told.stopped, told.bottleneck) == ((), "printer 1")
    assert told.all_done is not None


def test_wet_ink_of_held_jobs_does_not_count_against_the_time_of_the_others(busy: Play) -> None:
    for piece in busy.job(colour="white", sizes={"M": 5}):
        walk(busy, piece, LIGHT_WALK[:1])
    [last] = busy.job()
    walk(busy, last, DARK_WALK[:6])
    busy.hold("J0001")
    busy.hold("J0002")
    told = come_of(busy)
    assert told.finishes.keys() == {"J0003"}
    assert told.busy is not None
    assert told.busy <= 1


def test_held_pieces_do_not_make_the_others_cheaper(busy: Play) -> None:
    cost = come_of(busy).cost_per_piece
    busy.job(sizes={"M": 20})
    busy.hold("J0002")
    assert come_of(busy).cost_per_piece == cost


@given(days)
def test_no_station_is_busy_for_longer_than_it_takes_until_all_is_done(acts: list[Act]) -> None:
    told = come_of(played(acts))
    assert told.busy is None or told.busy <= 1 + 1e-9
