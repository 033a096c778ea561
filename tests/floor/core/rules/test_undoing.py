"""The undo card: the last thing that was done at this station is taken back."""

from datetime import timedelta

import pytest

from shared.codes import CodeType
from shared.files.cards import STATION_DOWN, UNDO
from tests.making import DARK_WALK, MONDAY, Play, card, large_shop, walk

UNDO_CARD = card(CodeType.COMMAND, UNDO)
STAIN = card(CodeType.REASON, "stain")


@pytest.fixture
def play() -> Play:
    return Play()


def test_a_step_that_was_taken_back_can_be_done_again(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    answer = play.scan(UNDO_CARD, "pretreat booth", after_s=120)
    assert (answer.outcome, answer.say) == ("accepted", f"Taken back: {piece} is before pretreat again.")
    assert play.piece(piece).position == 0
    assert play.scan(piece, "pretreat booth").outcome == "accepted"


def test_a_step_that_was_taken_back_at_once_can_be_done_again_at_once(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    play.scan(UNDO_CARD, "pretreat booth", after_s=0.5)
    assert play.scan(piece, "pretreat booth", after_s=0.5).outcome == "accepted"


def test_after_two_minutes_it_stands(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    answer = play.scan(UNDO_CARD, "pretreat booth", after_s=120.5)
    assert (answer.outcome, answer.reason) == ("refused", "nothing-to-undo")
    assert play.piece(piece).position == 1


def test_there_may_be_nothing_to_take_back(play: Play) -> None:
    assert play.scan(UNDO_CARD, "packing").say == "Nothing was done here in the last 120 s."


def test_the_last_read_is_taken_back_first_and_then_the_one_before_it(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth")
    play.scan(other, "pretreat booth", after_s=5)
    play.scan(UNDO_CARD, "pretreat booth", after_s=5)
    assert [play.piece(code).position for code in (one, other)] == [1, 0]
    assert play.scan(UNDO_CARD, "pretreat booth", after_s=5).piece == one
    assert play.piece(one).position == 0
    assert play.scan(UNDO_CARD, "pretreat booth", after_s=5).reason == "nothing-to-undo"


def test_a_spoiling_is_taken_back_although_another_piece_was_read_since(play: Play) -> None:
    good, other = play.job(sizes={"M": 2})
    play.scan(good, "pretreat booth")
    play.spoil(good, "pretreat booth")
    play.scan(other, "pretreat booth", after_s=5)
    answers = [play.scan(UNDO_CARD, "pretreat booth", after_s=5) for _ in range(3)]
    assert [answer.piece for answer in answers] == [other, good, good]
    assert (play.piece(good).state, play.piece(good).position) == ("open", 0)


def test_each_read_can_be_taken_back_for_two_minutes_of_its_own(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth")
    play.scan(other, "pretreat booth", after_s=100)
    assert play.scan(UNDO_CARD, "pretreat booth", after_s=20.5).piece == other
    assert play.scan(UNDO_CARD, "pretreat booth", after_s=3).reason == "nothing-to-undo"
    assert play.piece(one).position == 1


def test_what_was_done_again_after_an_undo_is_taken_back_before_what_was_done_earlier(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth")
    play.scan(other, "pretreat booth", after_s=5)
    play.scan(UNDO_CARD, "pretreat booth", after_s=5)
    play.scan(other, "pretreat booth", after_s=5)
    assert [play.scan(UNDO_CARD, "pretreat booth", after_s=5).piece for _ in range(2)] == [other, one]


def test_a_reason_after_an_undo_is_for_the_next_piece(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    play.scan(UNDO_CARD, "pretreat booth", after_s=5)
    assert play.scan(STAIN, "pretreat booth", after_s=5).say.startswith("Reason: stain.")
    assert play.piece(piece).state == "open"


def test_a_double_read_of_the_undo_card_takes_back_once(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    play.scan(UNDO_CARD, "pretreat booth", after_s=5)
    assert play.scan(UNDO_CARD, "pretreat booth", after_s=1).outcome == "repeated"


def test_one_station_does_not_take_back_what_another_did(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    assert play.scan(UNDO_CARD, "printer 1", after_s=5).reason == "nothing-to-undo"


def test_what_a_piece_has_gone_on_from_is_not_taken_back(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    play.scan(piece, "printer 1", after_s=5)
    answer = play.scan(UNDO_CARD, "pretreat booth", after_s=5)
    assert answer.say == f"Piece {piece} has gone on since. Take back the later read first."
    assert play.piece(piece).position == 2


def test_steps_that_a_read_took_as_done_go_with_it(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "printer 1")
    play.scan(UNDO_CARD, "printer 1", after_s=5)
    assert play.piece(piece).position == 0
    assert not any(walked.assumed for walked in play.piece(piece).walk)


def test_two_steps_done_at_one_station_in_one_moment_are_taken_back_one_by_one() -> None:
    play = Play(large_shop())
    [piece] = play.job(colour="white", places=("front", "back"))
    walk(play, piece, (("printer 1", 95), ("press 1", 20), ("press 1", 60)))
    at = play.now + timedelta(seconds=60)
    play.scan(piece, "printer 1", at=at)
    play.scan(UNDO_CARD, "printer 1", at=at)
    assert play.piece(piece).position == 2


def test_a_press_that_was_closed_by_mistake_is_empty_again(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:5])
    play.scan(UNDO_CARD, "press 1", after_s=5)
    assert play.piece(piece).wet


def test_a_press_that_was_opened_by_mistake_is_closed_since_it_was(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:6])
    closed = play.piece(piece).walk[4].started
    play.scan(UNDO_CARD, "press 1", after_s=5)
    assert play.piece(piece).in_work
    assert play.piece(piece).walk[4].started == closed


def test_a_piece_that_was_packed_by_mistake_is_open_again(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    play.scan(UNDO_CARD, "packing", after_s=5)
    assert play.piece(piece).state == "open"
    assert piece in play.floor.open


def test_a_refused_read_has_nothing_to_take_back(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth")
    play.scan(other, "packing", after_s=5)
    assert play.scan(UNDO_CARD, "packing", after_s=5).reason == "nothing-to-undo"


def test_a_spoiling_is_taken_back_and_its_remake_given_up(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:3])
    remake = play.spoil(piece, "inspection").remake or ""
    answer = play.scan(UNDO_CARD, "inspection", after_s=5)
    assert answer.say == f"Taken back: {piece} is not spoiled. Destroy the ticket {remake}."
    assert (play.piece(piece).state, play.piece(remake).state) == ("open", "cancelled")
    assert play.piece(piece).position == 3


def test_the_ticket_of_a_remake_that_was_given_up_is_good_for_nothing(play: Play) -> None:
    [piece] = play.job()
    play.scan(STAIN, "inspection")
    remake = play.scan(piece, "inspection", after_s=5).remake or ""
    play.scan(UNDO_CARD, "inspection", after_s=5)
    answer = play.scan(remake, "pretreat booth")
    assert (answer.reason, answer.say) == ("cancelled", f"Destroy this ticket: {piece} was not spoiled after all.")
    play.scan(STAIN, "pretreat booth", after_s=60)
    assert play.scan(remake, "pretreat booth", after_s=5).reason == "cancelled"


def test_a_spoiling_stands_when_its_remake_is_under_way(play: Play) -> None:
    [piece] = play.job()
    play.scan(STAIN, "inspection")
    remake = play.scan(piece, "inspection", after_s=5).remake or ""
    play.scan(remake, "pretreat booth", after_s=5)
    answer = play.scan(UNDO_CARD, "inspection", after_s=5)
    assert answer.say == f"Its remake {remake} is under way. Spoil that one instead."
    assert play.piece(piece).state == "spoiled"


def test_a_station_does_not_take_back_a_spoiling_that_another_read(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    play.scan(STAIN, "inspection", after_s=5)
    play.scan(piece, "inspection", after_s=5)
    assert play.scan(UNDO_CARD, "pretreat booth", after_s=5).reason == "nothing-to-undo"
    assert play.piece(piece).state == "spoiled"


def test_a_reason_that_waits_for_a_piece_is_taken_back_first(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth")
    play.scan(STAIN, "pretreat booth", after_s=40)
    assert play.scan(UNDO_CARD, "pretreat booth", after_s=5).say == "Taken back: stain. No piece is spoiled."
    assert play.scan(other, "pretreat booth", after_s=5).step == "pretreat"
    assert play.piece(one).position == 1


def test_a_piece_of_a_job_that_was_given_up_meanwhile_is_given_up_when_it_is_open_again(play: Play) -> None:
    done, _ = play.job(sizes={"M": 2})
    walk(play, done)
    play.cancel()
    play.scan(UNDO_CARD, "packing", after_s=5)
    assert play.piece(done).state == "cancelled"


def test_a_step_that_a_slow_clock_put_before_another_is_not_taken_out_from_beneath_it(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth", at=MONDAY)
    play.scan(piece, "printer 1", at=MONDAY + timedelta(seconds=60))
    play.scan(piece, "inspection", at=MONDAY + timedelta(seconds=30))
    answer = play.scan(UNDO_CARD, "printer 1", at=MONDAY + timedelta(seconds=65))
    assert answer.reason == "nothing-to-undo"
    assert play.piece(piece).position == 3


def test_what_was_taken_back_stays_in_the_ledger(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    rows = list(play.rows)
    play.scan(UNDO_CARD, "pretreat booth", after_s=5)
    assert play.rows[: len(rows)] == rows
    assert play.rows[-1].event.rows == (rows[-1].seq,)  # type: ignore[attr-defined]


@pytest.mark.parametrize(("station", "rows"), [("pretreat booth", 1), ("printer 1", 2)])
def test_the_correction_names_the_row_of_the_read_and_those_that_followed_from_it(
    play: Play, station: str, rows: int
) -> None:
    [piece] = play.job()
    play.scan(piece, station)
    last = play.rows[-1].seq
    play.scan(UNDO_CARD, station, after_s=5)
    assert play.rows[-1].event.rows == tuple(range(last - rows + 1, last + 1))  # type: ignore[attr-defined]


def test_a_read_whose_moment_was_written_down_wrongly_can_be_taken_back(play: Play) -> None:
    [piece] = play.job()
    play.now += timedelta(days=1)
    play.scan(piece, "pretreat booth", at=MONDAY, typed=True)
    assert play.scan(UNDO_CARD, "pretreat booth", after_s=60).outcome == "accepted"
    assert play.piece(piece).position == 0


def test_nothing_of_a_piece_that_was_given_up_is_taken_back(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    play.cancel()
    answer = play.scan(UNDO_CARD, "pretreat booth", after_s=5)
    assert (answer.outcome, answer.reason) == ("refused", "cancelled")
    assert play.piece(piece).position == 1


def test_a_read_and_its_undo_that_both_came_late_are_as_far_apart_as_they_were(play: Play) -> None:
    [piece] = play.job()
    play.now += timedelta(minutes=10)
    play.scan(piece, "pretreat booth", at=MONDAY + timedelta(seconds=60))
    play.now += timedelta(minutes=10)
    assert play.scan(UNDO_CARD, "pretreat booth", at=MONDAY + timedelta(seconds=90)).outcome == "accepted"
    assert play.piece(piece).position == 0


@pytest.mark.parametrize(("after_s", "says"), [(120, "press 1 is down"), (120.5, "Nothing was done here")])
def test_for_two_minutes_a_station_card_is_what_was_read_last(play: Play, after_s: float, says: str) -> None:
    play.scan(card(CodeType.COMMAND, STATION_DOWN), "press 1")
    answer = play.scan(UNDO_CARD, "press 1", after_s=after_s)
    assert (answer.outcome, answer.reason) == ("refused", "nothing-to-undo")
    assert answer.say.startswith(says)
