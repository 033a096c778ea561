"""Late reads: when something occurred rules over when it was told."""

from datetime import timedelta

import pytest

from floor.core.times.cures import cures_of
from shared.codes import CodeType
from shared.files.shop import parse_shop
from tests.making import DARK_WALK, MONDAY, Play, card, large_shop, shop_data, walk


@pytest.fixture
def play() -> Play:
    return Play()


def at(minutes: float) -> timedelta:
    return timedelta(minutes=minutes)


def test_a_late_read_tells_when_an_assumed_step_was_done(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "printer 1", after_s=600)
    answer = play.scan(piece, "pretreat booth", at=MONDAY + at(4))
    assert (answer.outcome, answer.step, answer.next) == ("accepted", "pretreat", "inspect")
    assert (play.piece(piece).walk[0].done, play.piece(piece).walk[0].assumed) == (MONDAY + at(4), False)


def test_a_late_read_of_a_step_does_not_move_the_piece_back(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "printer 1", after_s=600)
    play.scan(piece, "pretreat booth", at=MONDAY + at(4))
    assert play.piece(piece).position == 2


def test_a_late_read_of_a_finished_piece_still_tells_when_a_step_was_done(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[1:])
    assert play.piece(piece).state == "finished"
    assert play.scan(piece, "pretreat booth", at=MONDAY + at(1)).outcome == "accepted"


def test_a_late_read_from_before_a_piece_was_spoiled_is_part_of_its_walk(play: Play) -> None:
    [piece] = play.job()
    play.now += at(10)
    play.scan(card(CodeType.REASON, "stain"), "inspection")
    play.scan(piece, "inspection", after_s=5)
    assert play.scan(piece, "pretreat booth", at=MONDAY + at(2)).outcome == "accepted"
    assert play.scan(piece, "pretreat booth").reason == "spoiled"
    assert play.piece(piece).state == "spoiled"


def test_a_late_read_from_before_the_job_was_held_counts(play: Play) -> None:
    [piece] = play.job()
    play.now += at(10)
    play.hold()
    assert play.scan(piece, "pretreat booth", at=MONDAY + at(2)).outcome == "accepted"


def test_a_piece_that_was_finished_before_its_job_was_given_up_is_finished(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:6])
    play.now += at(10)
    play.cancel()
    assert play.scan(piece, "packing", at=play.now - at(5)).outcome == "accepted"
    assert play.piece(piece).state == "finished"


def test_two_stations_that_claim_one_step_contradict_each_other() -> None:
    play = Play(large_shop())
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:2])
    answer = play.scan(piece, "printer 2", at=play.now - at(1))
    assert (answer.outcome, answer.reason, answer.step) == ("refused", "wrong-station", "underlayer")
    assert answer.say == "Underlayer printed is recorded at printer 1 too. Both are kept for a person to settle."
    assert [row.station for row in play.piece(piece).contradictions] == ["printer 2"]


def test_a_late_read_at_the_station_that_did_the_step_contradicts_nothing(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:2])
    play.scan(piece, "pretreat booth", at=play.now - at(1))
    assert play.piece(piece).contradictions == []


def test_at_the_very_moment_at_which_a_step_was_done_it_is_behind_the_piece() -> None:
    play = Play(large_shop())
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:2])
    assert play.scan(piece, "printer 2", at=play.now).reason == "missed-step"
    assert play.piece(piece).contradictions == []


def test_a_read_at_the_very_moment_of_the_hold_is_held(play: Play) -> None:
    [piece] = play.job()
    play.hold()
    assert play.scan(piece, "pretreat booth", at=play.now).reason == "held"


def test_a_moment_that_was_written_down_must_not_lie_before_that_of_a_step_before(play: Play) -> None:
    [piece] = play.job(colour="white")
    play.scan(piece, "printer 1", after_s=600)
    answer = play.scan(piece, "press 1", at=MONDAY + at(5), typed=True)
    assert (answer.outcome, answer.reason) == ("refused", "out-of-order")
    assert answer.say == "Colour printed is recorded later, at Mon 23 Nov 2026 09:10. Correct the moment."
    assert play.piece(piece).wet
    assert play.scan(piece, "press 1", at=MONDAY + at(11), typed=True).outcome == "started"


def test_what_a_scanner_with_a_slow_clock_tells_counts_and_the_cure_is_marked(play: Play) -> None:
    [piece] = play.job(colour="white")
    play.scan(piece, "printer 1", after_s=600)
    assert play.scan(piece, "press 1", at=MONDAY + at(5)).outcome == "started"
    [cure] = cures_of(play.floor, play.piece(piece))
    assert cure.marks == ("before its print", "in the press")


def test_a_read_from_before_the_ticket_was_made_counts_and_says_so(play: Play) -> None:
    play.now += at(60)
    [piece] = play.job()
    answer = play.scan(piece, "pretreat booth", at=MONDAY)
    said = "Pretreated. Next: underlayer at printer 1. Its ticket was made later, on Mon 23 Nov 2026 10:00."
    assert (answer.outcome, answer.say) == ("accepted", said)


def test_a_moment_that_was_written_down_for_an_assumed_step_must_not_lie_too_early_either(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth", after_s=600)
    play.scan(piece, "inspection", after_s=600)
    assert play.scan(piece, "printer 1", at=MONDAY + at(5), typed=True).reason == "out-of-order"
    assert play.scan(piece, "printer 1", at=MONDAY + at(15), typed=True).outcome == "accepted"


def test_a_late_read_from_before_a_step_was_begun_does_not_end_it() -> None:
    steps = shop_data()["steps"]
    play = Play(parse_shop(shop_data(steps={**steps, "colour": {**steps["colour"], "scans": "in_out"}})))
    [piece] = play.job(colour="white")
    play.scan(piece, "printer 1", after_s=600)
    assert play.scan(piece, "printer 1", at=MONDAY + at(5)).outcome == "refused"
    assert play.piece(piece).in_work
