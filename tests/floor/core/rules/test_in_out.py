"""Steps that are scanned twice: a station that holds only so many pieces takes no more."""

import pytest

from shared.codes import CodeType
from shared.files.cards import STATION_DOWN, UNDO
from shared.files.problems import ProblemsFound
from tests.making import DARK_WALK, Play, card, shop_holding, walk

PRINTED = DARK_WALK[:4]
CLOSED = DARK_WALK[:5]


@pytest.fixture
def play() -> Play:
    return Play(shop_holding(1))


def two_printed(play: Play) -> tuple[str, str]:
    one, other = play.job(sizes={"M": 2})
    for piece in (one, other):
        walk(play, piece, PRINTED)
    return one, other


def test_a_press_that_is_full_takes_no_piece_and_says_what_is_in_it(play: Play) -> None:
    one, other = two_printed(play)
    play.scan(one, "press 1")
    answer = play.scan(other, "press 1", after_s=5)
    assert (answer.outcome, answer.reason) == ("refused", "station-full")
    assert answer.say == f"press 1 is full. Scan out {one} first."
    assert play.piece(other).wet


def test_it_takes_the_next_one_when_that_was_scanned_out(play: Play) -> None:
    one, other = two_printed(play)
    walk(play, one, (("press 1", 5), ("press 1", 200)))
    assert play.scan(other, "press 1", after_s=5).outcome == "started"


def test_what_went_in_later_is_no_hindrance_to_a_read_that_comes_late(play: Play) -> None:
    one, other = two_printed(play)
    before = play.now
    play.scan(one, "press 1", after_s=60)
    assert play.scan(other, "press 1", at=before).outcome == "started"


def test_a_piece_that_is_spoiled_in_a_closed_press_makes_no_room_before_it_is_taken_out(play: Play) -> None:
    one, other = two_printed(play)
    play.scan(one, "press 1")
    spoiled = play.spoil(one, "press 1")
    assert spoiled.say.endswith(" It is still in press 1: take it out, and scan it there.")
    assert play.scan(other, "press 1", after_s=60).say == f"press 1 is full. Scan out {one} first."
    out = play.scan(one, "press 1")
    assert (out.outcome, out.piece) == ("accepted", one)
    assert out.say == f"Taken out of press 1. This piece was spoiled. Its remake is {spoiled.remake}."
    assert play.scan(other, "press 1", after_s=5).outcome == "started"


def test_a_piece_that_is_spoiled_at_its_press_when_its_time_is_over_makes_room_at_once(play: Play) -> None:
    one, other = two_printed(play)
    play.scan(one, "press 1")
    assert "still in" not in play.spoil(one, "press 1", after_s=180).say
    assert play.scan(other, "press 1", after_s=5).outcome == "started"


def test_a_piece_that_is_given_up_in_a_closed_press_is_taken_out_of_it(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, CLOSED)
    play.cancel()
    assert play.scan(piece, "packing").reason == "cancelled"
    answer = play.scan(piece, "press 1")
    assert answer.say == "Taken out of press 1. This piece was given up with job J0001."
    assert play.scan(piece, "press 1").reason == "cancelled"


def one_spoiled_among_others(pieces: int) -> tuple[Play, str, list[str]]:
    """A piece was spoiled in a closed press that holds many; the others were scanned into it one after another."""
    play = Play(shop_holding(pieces))
    spoiled, *others = play.job(sizes={"M": pieces})
    for piece in (spoiled, *others):
        walk(play, piece, PRINTED)
    play.scan(spoiled, "press 1")
    play.spoil(spoiled, "press 1")
    for piece in others:
        play.scan(piece, "press 1", after_s=60)
    assert not play.floor.lying, "the press was opened for the others"
    return play, spoiled, others


def test_when_the_read_that_showed_a_press_to_be_open_is_taken_back_what_was_spoiled_in_it_lies_there_still() -> None:
    play, spoiled, _ = one_spoiled_among_others(2)
    play.scan(card(CodeType.COMMAND, UNDO), "press 1", after_s=5)
    assert [*play.floor.lying] == [spoiled]
    assert play.scan(spoiled, "press 1", after_s=5).say.startswith("Taken out of press 1.")
    assert not play.floor.lying


def test_another_read_still_shows_that_the_press_was_open() -> None:
    play, *_ = one_spoiled_among_others(3)
    play.scan(card(CodeType.COMMAND, UNDO), "press 1", after_s=5)
    assert not play.floor.lying


def test_what_lies_in_a_press_that_goes_down_is_not_pressed_anew(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, CLOSED)
    play.spoil(piece, "press 1")
    assert "Press anew" not in play.scan(card(CodeType.COMMAND, STATION_DOWN), "press 1").say


def test_a_press_for_two_takes_two(play: Play) -> None:
    play = Play(shop_holding(2))
    one, two, three = play.job(sizes={"M": 3})
    for piece in (one, two, three):
        walk(play, piece, PRINTED)
    assert [play.scan(piece, "press 1", after_s=5).outcome for piece in (one, two)] == ["started", "started"]
    assert play.scan(three, "press 1", after_s=5).say == f"press 1 is full. Scan out {one} or {two} first."


def test_any_number_fits_where_the_shop_does_not_say() -> None:
    play = Play(shop_holding(None))
    pieces = two_printed(play)
    assert [play.scan(piece, "press 1", after_s=5).outcome for piece in pieces] == ["started", "started"]


@pytest.mark.parametrize("holds", [0, -1, 1.5, "two"])
def test_a_station_holds_a_whole_number_of_pieces(holds: object) -> None:
    with pytest.raises(ProblemsFound, match="holds"):
        shop_holding(holds)


# Out too late

LONGEST_S = 180 + 60
"""The least time of the new shop's cure, and how long over it a piece may stay."""


@pytest.mark.parametrize(
    ("held_s", "over_s", "warning"),
    [
        (180, None, ""),
        (LONGEST_S, None, ""),
        (LONGEST_S + 1, 61, " It was in there 1 min 01 s over its time: look at it closely."),
        (4_080, 3_900, " It was in there 1 h 05 over its time: look at it closely."),
    ],
)
def test_a_piece_that_stayed_in_a_press_for_too_long_is_to_be_looked_at(
    play: Play, held_s: float, over_s: float | None, warning: str
) -> None:
    [piece] = play.job()
    walk(play, piece, CLOSED)
    answer = play.scan(piece, "press 1", after_s=held_s)
    assert (answer.outcome, answer.over_s, answer.look) == ("accepted", over_s, over_s is not None)
    assert answer.say == f"Cured. Next: pack at packing.{warning}"


def test_what_went_into_a_press_wet_for_too_long_is_to_be_looked_at(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    answer = play.scan(piece, "press 1", after_s=1_260)
    assert (answer.outcome, answer.signal) == ("started", "look")
