"""A piece at a station: what is accepted, what is refused and why, and what the operator is told."""

from datetime import timedelta

import pytest

from shared.files.shop import parse_shop
from tests.making import DARK_WALK, LIGHT_WALK, Play, large_shop, shop_data, walk


@pytest.fixture
def play() -> Play:
    return Play()


def at(minutes: float) -> timedelta:
    return timedelta(minutes=minutes)


# Accepted and started


def test_a_step_that_is_done_is_accepted_and_the_next_one_is_named(play: Play) -> None:
    [piece] = play.job()
    answer = play.scan(piece, "pretreat booth")
    assert (answer.outcome, answer.piece, answer.step, answer.next) == ("accepted", piece, "pretreat", "underlayer")
    assert answer.say == "Pretreated. Next: underlayer at printer 1."


def test_the_operator_is_told_every_station_that_does_the_next_step() -> None:
    play = Play(large_shop())
    [piece] = play.job()
    assert play.scan(piece, "pretreat booth").say.endswith("Next: underlayer at printer 1 or printer 2.")


def test_the_settings_that_are_shown_are_those_of_the_next_step(play: Play) -> None:
    [piece] = play.job()
    assert play.scan(piece, "pretreat booth").settings == {"platen": "standard", "passes": "2"}


def test_closing_a_press_starts_the_cure_and_says_when_it_opens(play: Play) -> None:
    [piece] = play.job()
    answer = walk(play, piece, DARK_WALK[:5])
    assert (answer.outcome, answer.step, answer.seconds_left) == ("started", "cure", 180)
    assert answer.say == "Cure started at press 1. Opens in 180 s."
    assert answer.settings == {"temperature_c": "165", "cover": "parchment"}


def test_a_press_may_be_opened_at_the_very_second(play: Play) -> None:
    [piece] = play.job()
    assert walk(play, piece, DARK_WALK[:6]).outcome == "accepted"


def test_a_light_garment_has_its_own_shorter_cure(play: Play) -> None:
    [piece] = play.job(colour="white")
    assert walk(play, piece, LIGHT_WALK[:2]).seconds_left == 60


def test_the_last_step_finishes_the_piece(play: Play) -> None:
    [piece] = play.job()
    answer = walk(play, piece)
    assert (answer.say, answer.next) == ("Packed. Finished.", None)
    assert play.piece(piece).state == "finished"


def test_front_and_back_are_each_printed_and_cured_and_packed_once(play: Play) -> None:
    [piece] = play.job(colour="white", places=("front", "back"))
    said = [play.scan(piece, station, after_s=200).step for station in ("printer 1", *["press 1"] * 2) * 2]
    assert said == ["colour front", *["cure front"] * 2, "colour back", *["cure back"] * 2]
    assert play.scan(piece, "packing").outcome == "accepted"


# Missed steps


def test_a_step_that_was_not_scanned_is_taken_as_done_with_a_warning(play: Play) -> None:
    [piece] = play.job()
    answer = play.scan(piece, "printer 1")
    assert (answer.outcome, answer.step) == ("accepted", "underlayer")
    assert answer.say.endswith("Not scanned, taken as done: pretreat.")
    assert (answer.look, answer.signal) == (True, "look")
    assert answer.line.startswith("accepted, but look: Underlayer printed.")
    assert [walked.assumed for walked in play.piece(piece).walk[:2]] == [True, False]


def test_what_was_simply_done_says_nothing_of_looking(play: Play) -> None:
    [piece] = play.job()
    answer = play.scan(piece, "pretreat booth")
    assert (answer.look, answer.signal) == (False, "good")
    assert answer.line.startswith("accepted: Pretreated.")


def test_a_dark_garment_without_its_underlayer_is_not_inspected(play: Play) -> None:
    [piece] = play.job()
    answer = play.scan(piece, "inspection")
    assert (answer.outcome, answer.reason, answer.signal) == ("refused", "missed-step", "stop")
    assert answer.say == "Underlayer is missing. Next: underlayer at printer 1."


def test_the_same_read_again_is_to_be_looked_at_too(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "printer 1")
    again = play.scan(piece, "printer 1", after_s=1)
    assert (again.outcome, again.signal) == ("repeated", "look")


def test_an_inspection_must_not_be_missed(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:2])
    answer = play.scan(piece, "press 1")
    assert (answer.outcome, answer.reason, answer.step) == ("refused", "missed-step", "inspect")
    assert answer.say == "Inspect is missing. Next: inspect at inspection."


def test_a_piece_cannot_be_packed_out_of_a_closed_press(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:5])
    answer = play.scan(piece, "packing")
    assert (answer.reason, answer.next) == ("missed-step", "cure")
    assert answer.say == "Still in press 1: cure was started and is not finished. Scan it out there."


def test_a_print_that_was_not_cured_cannot_be_packed(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:4])
    assert play.scan(piece, "packing").say == "Cure is missing. Next: cure at press 1."


# The wrong station


def test_a_station_that_has_nothing_to_do_says_where_to_go(play: Play) -> None:
    [piece] = play.job(colour="white")
    answer = play.scan(piece, "pretreat booth")
    assert (answer.outcome, answer.reason, answer.next) == ("refused", "wrong-station", "colour")
    assert answer.say == "Not here. Next: colour at printer 1."


def test_a_step_is_not_done_a_second_time(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    answer = play.scan(piece, "pretreat booth")
    assert (answer.reason, answer.say) == ("wrong-station", "Pretreated already. Next: underlayer at printer 1.")


def test_a_piece_comes_out_of_the_press_that_it_went_into() -> None:
    play = Play(large_shop())
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:5])
    answer = play.scan(piece, "press 2", after_s=200)
    assert (answer.reason, answer.say) == ("wrong-station", "This piece is in press 1. Scan it out there.")


# Too short a cure


def test_a_press_that_is_opened_too_early_is_told_how_many_seconds_are_left(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:5])
    answer = play.scan(piece, "press 1", after_s=170.5)
    assert (answer.outcome, answer.reason, answer.seconds_left) == ("refused", "too-short", 9.5)
    assert answer.say == "Too early: keep it closed 10 s more, then scan again."


def test_half_a_second_too_early_is_too_early(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:5])
    answer = play.scan(piece, "press 1", after_s=179.5)
    assert (answer.reason, answer.say) == ("too-short", "Too early: keep it closed 1 s more, then scan again.")


def test_a_piece_stays_in_a_press_that_was_opened_too_early(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:5])
    play.scan(piece, "press 1", after_s=100)
    assert play.piece(piece).in_work
    assert play.scan(piece, "press 1", after_s=80).outcome == "accepted"


def test_a_press_that_seems_opened_before_it_was_closed_stays_closed_for_the_whole_time(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:5])
    answer = play.scan(piece, "press 1", at=play.now - at(10))
    assert (answer.reason, answer.seconds_left) == ("too-short", 180)


# Barred pieces


def test_a_finished_piece_is_finished_everywhere(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    answers = [play.scan(piece, station) for station in play.shop.stations]
    assert {answer.reason for answer in answers} == {"finished"}
    assert {answer.next for answer in answers} == {None}


def test_a_piece_of_a_held_job_is_put_aside(play: Play) -> None:
    [piece] = play.job()
    play.hold()
    answer = play.scan(piece, "pretreat booth")
    assert (answer.outcome, answer.reason) == ("refused", "held")
    assert answer.say == "Job J0001 is on hold. Put the piece aside."


def test_a_released_job_goes_on(play: Play) -> None:
    [piece] = play.job()
    play.hold()
    play.release()
    assert play.scan(piece, "pretreat booth").outcome == "accepted"


def test_wet_ink_of_a_held_job_is_still_cured_but_not_packed(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:4])
    play.hold()
    assert play.scan(piece, "press 1").outcome == "started"
    assert play.scan(piece, "press 1", after_s=180).outcome == "accepted"
    assert play.scan(piece, "packing").reason == "held"


def test_a_piece_of_a_cancelled_job_is_given_up(play: Play) -> None:
    [piece] = play.job()
    play.cancel()
    answer = play.scan(piece, "pretreat booth")
    assert (answer.reason, answer.next) == ("cancelled", None)
    assert answer.say == "This piece was given up with job J0001."


def test_the_other_jobs_go_on_when_one_is_cancelled(play: Play) -> None:
    play.job()
    [other] = play.job()
    play.cancel("J0001")
    assert play.scan(other, "pretreat booth").outcome == "accepted"


# What the shop file says rules


def test_a_step_of_two_scans_need_not_be_a_press() -> None:
    data = shop_data()
    data["steps"]["pretreat"]["scans"] = "in_out"
    play = Play(parse_shop(data))
    [piece] = play.job()
    said = [play.scan(piece, "pretreat booth").outcome for _ in range(2)]
    assert said == ["started", "accepted"]


def test_a_shop_may_let_an_inspection_be_missed() -> None:
    data = shop_data()
    data["steps"]["inspect"]["if_missed"] = "assume"
    play = Play(parse_shop(data))
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:2])
    assert play.scan(piece, "printer 1").step == "colour"


def test_the_route_is_the_one_of_the_day_on_which_the_job_was_taken() -> None:
    play = Play()
    [piece] = play.job()
    data = shop_data()
    data["routes"]["dark garment"] = ["colour", "cure", "pack"]
    play.shop = parse_shop(data)
    assert play.scan(piece, "pretreat booth").outcome == "accepted"


@pytest.mark.parametrize(("wet_min", "told"), [(19, False), (26, True)])
def test_whoever_closes_the_press_is_told_that_the_ink_was_wet_for_too_long(
    play: Play, wet_min: int, told: bool
) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:4])
    say = play.scan(piece, "press 1", after_s=60 * wet_min).say
    assert ("It was wet for 26 min 00 s, longer than 20 min 00 s." in say) is told


def test_of_two_steps_that_a_station_does_the_last_is_what_was_already_done() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:6])
    answer = play.scan(piece, "printer 1", after_s=600)
    assert answer.say.startswith("Colour printed already.")
