"""What is read: codes and what are none, cards, stations, hands, and the same thing twice."""

from datetime import timedelta

import pytest

from shared.codes import CodeType, make
from shared.events.reads import CareDone, SignedIn, SignedOut, StationTaken
from shared.files.cards import SIGN_OUT
from tests.making import DARK_WALK, Play, card, large_shop, walk

AT_PRESS = card(CodeType.STATION, "press 1")
AT_PACKING = card(CodeType.STATION, "packing")
A = card(CodeType.BADGE, "A")
B = card(CodeType.BADGE, "B")
LEAVE = card(CodeType.COMMAND, SIGN_OUT)
STIR = card(CodeType.CARE, "stir white ink")


@pytest.fixture
def play() -> Play:
    return Play()


# Codes


def test_noise_is_refused_and_kept(play: Play) -> None:
    answer = play.scan("hello", "printer 1")
    assert (answer.outcome, answer.reason) == ("refused", "not-a-code")
    assert play.rows[-1].read_id == "read 1"


def test_a_misread_digit_is_no_code(play: Play) -> None:
    [piece] = play.job()
    wrong = piece[:-1] + str((int(piece[-1]) + 1) % 10)
    assert play.scan(wrong, "printer 1").reason == "not-a-code"


def test_what_is_kept_of_noise_has_a_limit(play: Play) -> None:
    play.scan("x" * 1_000_000, "printer 1")
    assert len(play.rows[-1].event.read.text) == 80  # type: ignore[attr-defined]


def test_a_piece_of_another_shop_is_unknown(play: Play) -> None:
    answer = play.scan(make(CodeType.PIECE, 999), "printer 1")
    assert (answer.outcome, answer.reason) == ("refused", "unknown")


def test_a_card_that_is_no_longer_in_the_shop_file_is_unknown(play: Play) -> None:
    assert play.scan(card(CodeType.BADGE, "Zoe"), "printer 1").reason == "unknown"


def test_a_code_may_be_keyed_in_in_groups(play: Play) -> None:
    [piece] = play.job()
    assert play.scan(f"{piece[:4]} {piece[4:8]} {piece[8:]}", "pretreat booth").outcome == "accepted"


def test_a_scanner_may_say_what_kind_of_bars_it_saw(play: Play) -> None:
    [piece] = play.job()
    assert play.scan(f"]C0{piece}\r\n", "pretreat booth").outcome == "accepted"


# The same thing twice


def test_a_double_read_gets_the_same_answer_and_leaves_no_row(play: Play) -> None:
    [piece] = play.job()
    first = play.scan(piece, "pretreat booth")
    rows = len(play.rows)
    second = play.scan(piece, "pretreat booth", after_s=2)
    assert (second.outcome, second.say, second.next) == ("repeated", first.say, first.next)
    assert len(play.rows) == rows


def test_a_refused_read_that_is_repeated_is_refused_alike(play: Play) -> None:
    [piece] = play.job()
    first = play.scan(piece, "packing")
    assert play.scan(piece, "packing", after_s=1) == first


def test_a_read_with_a_badge_that_was_typed_anew_is_no_repeat(play: Play) -> None:
    [piece] = play.job()
    assert play.scan(piece, "pretreat booth", badge="Zoe").reason == "unknown"
    answer = play.scan(piece, "pretreat booth", badge="A", after_s=1)
    assert (answer.outcome, play.piece(piece).walk[0].badge) == ("accepted", "A")


def test_a_read_with_the_same_typed_badge_is_a_repeat(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth", badge="A")
    assert play.scan(piece, "pretreat booth", badge="A", after_s=1).outcome == "repeated"


def test_the_same_code_after_the_repeat_window_is_another_read(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    assert play.scan(piece, "pretreat booth", after_s=2.001).outcome == "refused"


def test_another_code_in_between_ends_the_repeat(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth")
    play.scan(other, "pretreat booth", after_s=0.5)
    assert play.scan(one, "pretreat booth", after_s=0.5).outcome == "refused"


def test_the_same_code_at_another_station_is_no_repeat(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    assert play.scan(piece, "printer 1", after_s=0.5).step == "underlayer"


def test_a_double_read_in_and_out_of_a_press_does_not_open_it(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:5])
    assert play.scan(piece, "press 1", after_s=1).outcome == "repeated"


def test_a_double_read_whose_halves_arrive_in_the_wrong_order_counts_once(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    assert play.scan(piece, "pretreat booth", at=play.now - timedelta(seconds=1)).outcome == "repeated"


# Stations


def test_a_roaming_scanner_first_wants_a_station(play: Play) -> None:
    [piece] = play.job()
    answer = play.scan(piece, None, device="roamer")
    assert (answer.outcome, answer.reason) == ("refused", "no-station")


@pytest.mark.parametrize("code", [A, LEAVE, card(CodeType.REASON, "stain")])
def test_a_badge_a_command_or_a_reason_means_nothing_without_a_station(play: Play, code: str) -> None:
    assert play.scan(code, None, device="roamer").reason == "no-station"


def test_a_roaming_scanner_takes_the_station_whose_card_it_read(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:4])
    assert play.scan(AT_PRESS, None, device="roamer").say == "Now at press 1."
    assert play.scan(piece, None, device="roamer").outcome == "started"
    assert play.piece(piece).walk[4].station == "press 1"


def test_a_roaming_scanner_moves_with_the_next_station_card(play: Play) -> None:
    for code in (AT_PRESS, AT_PACKING):
        play.scan(code, None, device="roamer")
    assert play.floor.roaming == {"roamer": "packing"}


def test_a_station_card_belongs_to_the_station_that_it_names(play: Play) -> None:
    play.scan(AT_PRESS, None, device="roamer")
    assert isinstance(play.rows[-1].event, StationTaken)
    assert play.rows[-1].station == "press 1"


def test_a_station_card_read_twice_is_a_repeat(play: Play) -> None:
    play.scan(AT_PRESS, None, device="roamer")
    assert play.scan(AT_PRESS, None, device="roamer", after_s=1).outcome == "repeated"


def test_one_roaming_scanner_does_not_take_another_along(play: Play) -> None:
    [piece] = play.job()
    play.scan(AT_PRESS, None, device="roamer 1")
    assert play.scan(piece, None, device="roamer 2").reason == "no-station"


def test_a_scanner_that_has_its_place_stays_there(play: Play) -> None:
    answer = play.scan(AT_PACKING, "press 1")
    assert (answer.reason, answer.say) == ("wrong-station", "This scanner belongs to press 1 and stays there.")


def test_a_scanner_may_read_the_card_of_its_own_place(play: Play) -> None:
    assert play.scan(AT_PRESS, "press 1").say == "This scanner stands at press 1."


def test_a_station_that_the_shop_does_not_have_is_refused(play: Play) -> None:
    [piece] = play.job()
    assert play.scan(piece, "printer 9").reason == "no-station"


# Hands


def test_a_badge_signs_in_at_its_station(play: Play) -> None:
    [piece] = play.job()
    assert play.scan(A, "pretreat booth").say == "A works at pretreat booth."
    play.scan(piece, "pretreat booth")
    assert play.piece(piece).walk[0].badge == "A"


def test_hands_are_signed_in_at_one_station_only(play: Play) -> None:
    [piece] = play.job()
    play.scan(A, "pretreat booth")
    play.scan(piece, "printer 1")
    assert play.piece(piece).walk[1].badge is None


def test_another_badge_takes_over(play: Play) -> None:
    play.scan(A, "packing")
    play.scan(B, "packing")
    play.scan("noise", "packing")
    assert play.rows[-1].badge == "B"


def test_whoever_signs_out_is_gone(play: Play) -> None:
    play.scan(A, "packing")
    assert play.scan(LEAVE, "packing").say == "A has left packing."
    play.scan("noise", "packing")
    assert play.rows[-1].badge is None


def test_nobody_need_be_signed_in_to_sign_out(play: Play) -> None:
    assert play.scan(LEAVE, "packing").say == "Nobody was signed in."


def test_the_badge_of_yesterday_is_not_the_badge_of_today(play: Play) -> None:
    play.scan(A, "packing")
    play.scan("noise", "packing", after_s=86_400)
    assert play.rows[-1].badge is None


def test_a_read_that_names_a_badge_is_by_those_hands(play: Play) -> None:
    [piece] = play.job()
    play.scan(A, "pretreat booth")
    play.scan(piece, "pretreat booth", badge="B")
    assert play.piece(piece).walk[0].badge == "B"


def test_a_badge_that_the_shop_does_not_have_is_refused(play: Play) -> None:
    [piece] = play.job()
    assert play.scan(piece, "pretreat booth", badge="Zoe").reason == "unknown"


def test_a_late_read_is_by_whoever_was_signed_in_then(play: Play) -> None:
    [piece] = play.job()
    play.scan(A, "pretreat booth")
    then = play.now + timedelta(seconds=30)
    play.scan(B, "pretreat booth", after_s=600)
    play.scan(piece, "pretreat booth", at=then)
    assert play.piece(piece).walk[0].badge == "A"


def test_signing_in_and_out_are_facts_of_the_station(play: Play) -> None:
    play.scan(A, "packing")
    play.scan(LEAVE, "packing")
    events = [row.event for row in play.rows]
    assert [type(event) for event in events] == [SignedIn, SignedOut]
    assert {event.stream for event in events} == {"station packing"}


# Care


def test_a_care_task_is_done_by_its_card_anywhere(play: Play) -> None:
    for station in ("packing", None):
        assert play.scan(STIR, station, device="gun").say == "Done: stir white ink."
    assert isinstance(play.rows[-1].event, CareDone)
    assert play.floor.cared == {"stir white ink": play.now}


def test_the_same_floor_and_the_same_read_give_the_same_decision() -> None:
    plays = [Play(large_shop()), Play(large_shop())]
    decisions = []
    for play in plays:
        [piece] = play.job()
        decisions.append(play.decide(piece, "printer 2"))
    assert decisions[0] == decisions[1]
