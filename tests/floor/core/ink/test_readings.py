"""Readings: which print is meant, and what cannot be."""

from datetime import timedelta
from typing import Any

import pytest

from floor.core.ink.readings import InkReading, facts_of, wrongs
from shared.events.supplies import InkRead
from shared.files.shop import parse_shop
from shared.money import typed_amount
from tests.floor.core.ink.inked import ml
from tests.making import Play, shop_data


@pytest.fixture
def play() -> Play:
    return Play()


def reading(play: Play, piece: str, place: str | None = None, **told: str) -> InkReading:
    inks: dict[Any, Any] = {ink: ml(text) for ink, text in told.items()}
    return InkReading(piece=play.piece(piece), place=place, ml=inks, at=play.now)


def wrong(play: Play, given: InkReading) -> list[tuple[str, str]]:
    return [(said, allowed) for said, _, allowed in wrongs(play.floor, play.shop, given)]


def steps(play: Play, given: InkReading) -> list[tuple[str, str]]:
    """The steps that a reading is of, and how much."""
    route = given.piece.route
    events = [fact.event for fact in facts_of(play.shop, given)]
    return [(route[each.step].label, str(each.ml)) for each in events if isinstance(each, InkRead)]


def test_white_is_of_the_underlayer_and_colour_of_the_colour(play: Play) -> None:
    [piece] = play.job()
    given = reading(play, piece, white="2.4", colour="1.1")
    assert wrong(play, given) == []
    assert steps(play, given) == [("underlayer", "2.400000"), ("colour", "1.100000")]


def test_the_only_place_may_be_named(play: Play) -> None:
    [piece] = play.job()
    assert steps(play, reading(play, piece, "front", white="2.4")) == [("underlayer", "2.400000")]


def test_of_several_places_one_must_be_named(play: Play) -> None:
    [piece] = play.job(places=("front", "back"))
    assert wrong(play, reading(play, piece, white="2.4")) == [("place", "one of its places: front, back")]
    assert steps(play, reading(play, piece, "back", white="2.4")) == [("underlayer back", "2.400000")]


def test_a_place_that_the_piece_lacks_is_refused(play: Play) -> None:
    [piece] = play.job()
    assert wrong(play, reading(play, piece, "left sleeve", white="2")) == [("place", "a place of the piece: front")]


def test_a_light_garment_has_no_white_print(play: Play) -> None:
    [piece] = play.job(colour="white")
    assert wrong(play, reading(play, piece, white="2", colour="1")) == [
        ("white", "no white ink: the piece has no such print")
    ]


def test_nothing_of_an_ink_that_the_piece_has_no_print_of_is_no_reading(play: Play) -> None:
    [piece] = play.job(colour="white")
    given = reading(play, piece, white="0", colour="1")
    assert wrong(play, given) == []
    assert steps(play, given) == [("colour", "1.000000")]


def test_a_print_that_was_ordered_without_ink_may_take_some(play: Play) -> None:
    [piece] = play.job(ink={"white_ml": "0"})
    assert steps(play, reading(play, piece, white="0.3")) == [("underlayer", "0.300000")]


@pytest.mark.parametrize("text", ["-0.1", "200.1"])
def test_an_amount_that_no_print_takes_is_refused(play: Play, text: str) -> None:
    [piece] = play.job()
    [(said, allowed)] = wrong(play, reading(play, piece, white=text))
    assert (said, "0 to 200 ml" in allowed) == ("white", True)


def test_a_reading_from_before_the_piece_was_opened_is_of_another(play: Play) -> None:
    [piece] = play.job()
    play.now -= timedelta(hours=1)
    [(said, _)] = wrong(play, reading(play, piece, white="2"))
    assert said == "at"


def test_steps_that_make_one_print_share_its_ink_to_the_last_drop() -> None:
    data = shop_data()
    data["steps"]["underlayer again"] = dict(data["steps"]["underlayer"])
    data["routes"]["dark garment"].insert(1, "underlayer again")
    data["stations"][1]["steps"].append("underlayer again")
    play = Play(parse_shop(data))
    [piece] = play.job()
    assert [each for _, each in steps(play, reading(play, piece, white="2.000001"))] == ["1.000001", "1.000000"]


@pytest.mark.parametrize(("text", "number"), [("2.35", "2.35"), ("2,35", "2.35"), ("-1", "-1"), ("12", "12")])
def test_a_number_has_a_point_or_a_comma(text: str, number: str) -> None:
    assert typed_amount(text) == ml(number)


@pytest.mark.parametrize("text", ["", "two", "1.234,5", "1e3", "nan", "2.", "٢", "1 2", "9" * 10])
def test_what_is_no_number_is_none(text: str) -> None:
    assert typed_amount(text) is None
