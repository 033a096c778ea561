"""A press is taken out of the shop file while a piece is in it: the piece is found, and goes on elsewhere."""

from collections.abc import Callable

import pytest

from floor.core.orders.stranded import Stranded, stranded
from shared.files.shop import Shop, parse_shop
from tests.making import DARK_WALK, Play, large_shop, shop_data, walk

PRINTED = DARK_WALK[:4]


def without_press_2() -> Shop:
    return parse_shop(shop_data())


def with_press_2_for_packing() -> Shop:
    packing = {"name": "press 2", "steps": ["pack"]}
    return parse_shop(shop_data(stations=[*shop_data()["stations"], packing]))


@pytest.fixture
def play() -> Play:
    """A piece is in press 2."""
    play = Play(large_shop())
    [piece] = play.job()
    walk(play, piece, (*PRINTED, ("press 2", 20)))
    return play


def in_press_2(play: Play) -> str:
    [piece] = play.floor.pieces
    return piece


def test_where_every_piece_can_be_scanned_out_none_is_stranded(play: Play) -> None:
    assert list(stranded(play.floor, play.shop)) == []


@pytest.mark.parametrize("changed", [without_press_2, with_press_2_for_packing], ids=["gone", "does something else"])
def test_a_piece_in_a_press_that_is_no_longer_one_is_found_and_pressed_anew_elsewhere(
    play: Play, changed: Callable[[], Shop]
) -> None:
    piece = in_press_2(play)
    play.shop = changed()
    assert list(stranded(play.floor, play.shop)) == [Stranded(piece, "J0001", "cure", "press 2")]
    answer = play.scan(piece, "press 1", after_s=600)
    assert (answer.outcome, answer.look) == ("started", True)
    assert answer.say.endswith("It was in press 2, where this is no longer done: it is done anew.")
    assert list(stranded(play.floor, play.shop)) == []
    assert play.scan(piece, "press 1", after_s=100).reason == "too-short"
    assert play.scan(piece, "press 1", after_s=100).say.startswith("Cured.")


def test_a_press_that_is_still_there_must_scan_its_piece_out_itself(play: Play) -> None:
    assert play.scan(in_press_2(play), "press 1").say == "This piece is in press 2. Scan it out there."


def test_a_spoiled_piece_in_a_press_that_is_gone_is_taken_out_at_any_other(play: Play) -> None:
    piece = in_press_2(play)
    play.spoil(piece, "inspection")
    assert play.scan(piece, "press 1").reason == "spoiled"
    play.shop = without_press_2()
    assert [each.piece for each in stranded(play.floor, play.shop)] == [piece]
    assert play.scan(piece, "press 1", after_s=5).say.startswith("Taken out of press 2.")
    assert list(stranded(play.floor, play.shop)) == []
