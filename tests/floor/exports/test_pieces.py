"""What is known of a piece from the moment it was opened."""

from collections.abc import Iterator

import pytest

from floor.exports.pieces import REMEMBERED, Pieces
from floor.exports.scratch import scratch
from tests.floor.exports.day import Day
from tests.making import Play


@pytest.fixture
def pieces() -> Iterator[Pieces]:
    with scratch() as database:
        yield Pieces(database)


def test_a_piece_is_known_by_its_line_and_its_route(pieces: Pieces) -> None:
    day = Day()
    assert list(pieces.noted(day.play.rows)) == day.play.rows
    card = pieces.card(day.both_sides)
    assert (card.code, card.job, card.design, card.item, card.colour, card.size) == (
        *(day.both_sides, "J0002", "oars", "heavy tee", "white", "M"),
    )
    assert [stop.label for stop in card.stops] == ["colour front", "cure front", "colour back", "cure back", "pack"]
    assert [stop.event for stop in card.stops][:2] == ["colour printed", "cured"]


def test_a_remake_is_known_with_the_piece_that_it_replaces(pieces: Pieces) -> None:
    day = Day()
    for row in day.play.rows:
        pieces.note(row)
    assert (pieces.card(day.remake).remake_of, pieces.card(day.walked).remake_of) == (day.spoiled, None)


def test_every_piece_is_still_known_when_there_are_more_than_are_remembered(pieces: Pieces) -> None:
    play = Play()
    codes = play.job(sizes={"M": REMEMBERED + 1})
    for row in play.rows:
        pieces.note(row)
    assert [pieces.card(code).code for code in codes] == codes


def test_a_piece_that_was_never_opened_is_a_programmer_s_mistake(pieces: Pieces) -> None:
    with pytest.raises(KeyError):
        pieces.card("1000000161")
