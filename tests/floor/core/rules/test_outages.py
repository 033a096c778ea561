"""The station down and station up cards: nothing is begun at a station that is down, and everybody is told."""

from datetime import timedelta

import pytest

from floor.core.plan.alarms import standing
from floor.core.plan.outlook import outlook
from floor.core.plan.presses import in_presses
from floor.core.plan.wet import Wet, wet_queue
from floor.core.times.cures import cures_of
from shared.codes import CodeType
from shared.events.reads import ReadRefused, StationCameUp, StationWentDown, StepInterrupted
from shared.events.recorded import Fact
from shared.files.cards import STATION_DOWN, STATION_UP, UNDO
from shared.files.shop import parse_shop
from tests.floor.core.plan.pressing import look
from tests.making import DARK_WALK, MONDAY, Play, card, large_shop, shop_data, walk

DOWN = card(CodeType.COMMAND, STATION_DOWN)
UNDO_CARD = card(CodeType.COMMAND, UNDO)
UP = card(CodeType.COMMAND, STATION_UP)
PRINTED = DARK_WALK[:4]
PRESSED = DARK_WALK[:5]


@pytest.fixture
def play() -> Play:
    """Two presses."""
    return Play(large_shop())


def test_the_card_takes_a_station_out_of_use(play: Play) -> None:
    answer = play.scan(DOWN, "press 1")
    assert (answer.outcome, answer.say) == (
        "accepted",
        "press 1 is down: it takes no work until its station up card.",
    )
    assert isinstance(play.rows[-1].event, StationWentDown)
    assert play.floor.stations["press 1"].down_since == play.now


def test_a_station_that_is_up_says_that_it_was_not_down(play: Play) -> None:
    answer = play.scan(UP, "press 1")
    assert (answer.outcome, answer.say) == ("accepted", "press 1 was not down: it takes work.")
    assert isinstance(play.rows[-1].event, StationCameUp)


def test_a_card_that_changed_nothing_does_not_keep_a_read_from_being_taken_back(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    play.scan(UP, "pretreat booth", after_s=5)
    assert play.scan(UNDO_CARD, "pretreat booth", after_s=5).piece == piece
    assert play.piece(piece).position == 0


def test_the_other_card_puts_it_into_use_again(play: Play) -> None:
    play.scan(DOWN, "press 1")
    answer = play.scan(UP, "press 1")
    assert (answer.outcome, answer.say) == ("accepted", "press 1 takes work again.")
    assert isinstance(play.rows[-1].event, StationCameUp)
    assert play.floor.stations["press 1"].down_since is None


def test_a_press_that_is_down_takes_no_piece_and_says_where_to_go(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    play.scan(DOWN, "press 1")
    answer = play.scan(piece, "press 1")
    assert (answer.outcome, answer.reason) == ("refused", "station-down")
    assert answer.say == "press 1 is down. Go to press 2."
    assert isinstance(play.rows[-1].event, ReadRefused)
    assert not play.piece(piece).in_work


def test_where_all_presses_are_down_nobody_is_sent_anywhere(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    for press in ("press 1", "press 2"):
        play.scan(DOWN, press)
    say = "press 1 is down. Read its station up card when it works again."
    assert play.scan(piece, "press 1").say == say


def test_after_the_station_up_card_the_press_takes_the_piece(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    play.scan(DOWN, "press 1")
    play.scan(UP, "press 1")
    assert play.scan(piece, "press 1").outcome == "started"


def test_what_had_its_time_before_its_press_went_down_comes_out(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    play.scan(DOWN, "press 1", after_s=180)
    assert play.scan(piece, "press 1", after_s=600).outcome == "accepted"


def in_a_press_that_went_down(play: Play) -> str:
    """A piece with ten seconds of its dwell to go."""
    [piece] = play.job()
    walk(play, piece, PRESSED)
    play.scan(DOWN, "press 1", after_s=170)
    return piece


def test_the_card_says_what_must_be_pressed_anew(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    say = f"press 1 is down: it takes no work until its station up card. Press anew: {piece}."
    assert play.scan(DOWN, "press 1", after_s=170).say == say


def test_a_piece_whose_press_went_down_lies_wet_since_it_was_printed(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    printed = play.now
    play.scan(piece, "press 1", after_s=20)
    play.scan(DOWN, "press 1", after_s=170)
    [wet] = queue(play)
    assert (wet.piece, wet.since, wet.press) == (piece, printed, "press 2")
    assert set(look(play, 1200)) == {"station down", "wet too long"}
    line = in_presses(play.floor, play.shop, play.now)[0]
    assert (line.piece, line.opens_at) == (None, None)


def test_it_is_pressed_anew_in_another_press(play: Play) -> None:
    piece = in_a_press_that_went_down(play)
    answer = play.scan(piece, "press 2", after_s=60)
    assert (answer.outcome, answer.seconds_left) == ("started", 180)
    assert play.scan(piece, "press 2", after_s=177).reason == "too-short"
    assert play.scan(piece, "press 2", after_s=3).outcome == "accepted"
    first, second = cures_of(play.floor, play.piece(piece))
    assert (first.press, first.held_s, first.marks) == ("press 1", 170, ("press down",))
    assert (second.press, second.held_s, second.marks) == ("press 2", 180, ("opened early",))


def test_it_is_not_put_into_the_press_that_is_down(play: Play) -> None:
    piece = in_a_press_that_went_down(play)
    answer = play.scan(piece, "press 1", after_s=600)
    assert (answer.reason, answer.say) == ("station-down", "press 1 is down. Go to press 2.")


def test_when_its_press_is_up_again_the_next_scan_closes_it_anew(play: Play) -> None:
    piece = in_a_press_that_went_down(play)
    play.scan(UP, "press 1", after_s=60)
    answer = play.scan(piece, "press 1", after_s=600)
    assert (answer.outcome, answer.seconds_left) == ("started", 180)
    assert play.scan(piece, "press 1", after_s=180).outcome == "accepted"
    assert [cure.marks for cure in cures_of(play.floor, play.piece(piece))] == [("press down",), ()]


def test_a_closing_that_is_told_after_the_press_went_down_did_not_cure_either(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    before = play.now + timedelta(seconds=20)
    play.scan(DOWN, "press 1", after_s=60)
    assert play.scan(piece, "press 1", at=before).outcome == "started"
    assert play.piece(piece).wet


def test_a_card_that_is_told_late_spares_what_was_cured_and_marks_it(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    meanwhile = play.now + timedelta(seconds=100)
    play.scan(piece, "press 1", after_s=180)
    play.scan(DOWN, "press 1", at=meanwhile)
    [cure] = cures_of(play.floor, play.piece(piece))
    assert (cure.opened, cure.marks) == (play.now, ("press down",))


def test_every_piece_in_a_press_must_be_pressed_anew(play: Play) -> None:
    pieces = play.job(sizes={"M": 2})
    for piece in pieces:
        walk(play, piece, PRINTED)
    for piece in pieces:
        play.scan(piece, "press 1", after_s=5)
    play.scan(DOWN, "press 1", after_s=5)
    assert sorted(wet.piece for wet in queue(play)) == sorted(pieces)


def test_a_piece_that_had_its_time_must_be_scanned_out_where_it_is(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    play.scan(DOWN, "press 1", after_s=180)
    answer = play.scan(piece, "press 2", after_s=60)
    assert (answer.reason, answer.say) == ("wrong-station", "This piece is in press 1. Scan it out there.")


def test_a_step_with_two_scans_that_is_no_dwell_ends_at_a_station_that_is_down() -> None:
    steps = shop_data()["steps"]
    play = Play(parse_shop(shop_data(steps={**steps, "colour": {**steps["colour"], "scans": "in_out"}})))
    [piece] = play.job(colour="white")
    play.scan(piece, "printer 1")
    play.scan(DOWN, "printer 1", after_s=10)
    assert play.scan(piece, "printer 1", after_s=600).outcome == "accepted"


def test_a_print_that_was_made_on_a_printer_that_is_down_is_a_fact_all_the_same(play: Play) -> None:
    [piece] = play.job(colour="white")
    play.scan(DOWN, "printer 1")
    answer = play.scan(piece, "printer 1")
    assert (answer.outcome, answer.say) == (
        "accepted",
        "Colour printed. Next: cure at press 1 or press 2. printer 1 is down.",
    )


def test_a_late_read_from_before_the_station_went_down_counts(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    before = play.now + timedelta(seconds=30)
    play.scan(DOWN, "press 1", after_s=60)
    assert play.scan(piece, "press 1", at=before).outcome == "started"


def test_nobody_is_sent_to_a_station_that_is_down(play: Play) -> None:
    [piece] = play.job(colour="white")
    play.scan(DOWN, "press 1")
    assert play.scan(piece, "printer 1").say == "Colour printed. Next: cure at press 2."


def test_the_press_queue_skips_a_press_that_is_down(play: Play) -> None:
    a, b = play.job(colour="white", sizes={"M": 2})
    play.scan(DOWN, "press 1")
    for code in (a, b):
        play.scan(code, "printer 1", after_s=10)
    went_in = [(wet.expected_in - play.now).total_seconds() for wet in queue(play) if wet.expected_in]
    assert went_in == [20, 20 + 60 + 20]


def test_while_all_presses_are_down_nothing_is_expected_in(play: Play) -> None:
    [piece] = play.job(colour="white")
    for press in ("press 1", "press 2"):
        play.scan(DOWN, press)
    play.scan(piece, "printer 1")
    assert [wet.expected_in for wet in queue(play)] == [None]


def queue(play: Play) -> list[Wet]:
    return wet_queue(outlook(play.floor, play.shop, play.now), play.now)


def test_the_line_of_a_press_says_since_when_it_is_down(play: Play) -> None:
    play.scan(DOWN, "press 2")
    lines = in_presses(play.floor, play.shop, play.now)
    assert [(line.station, line.down_since) for line in lines] == [("press 1", None), ("press 2", play.now)]


def test_a_station_that_is_down_is_an_alarm_until_it_is_up(play: Play) -> None:
    play.scan(DOWN, "printer 1")
    assert look(play, 30) == ["station down"]
    alarm = play.floor.alarms["station down", "printer 1"]
    say = "printer 1 is down and takes no work. Read its station up card when it works again."
    assert (alarm.since, alarm.say, alarm.station) == (MONDAY + timedelta(seconds=60), say, "printer 1")
    play.scan(UP, "printer 1")
    assert look(play) == []


def test_a_station_that_was_taken_out_of_the_shop_file_is_nobodys_trouble(play: Play) -> None:
    play.scan(DOWN, "press 2")
    assert standing(play.floor, Play().shop, play.now) == {}


def test_the_card_read_twice_by_mistake_leaves_the_station_down_since_the_first(play: Play) -> None:
    play.scan(DOWN, "press 1")
    since = play.now
    play.scan(DOWN, "press 1", after_s=300)
    assert play.floor.stations["press 1"].down_since == since


def test_the_undo_card_names_the_card_that_puts_a_station_into_use_again(play: Play) -> None:
    [piece] = play.job(colour="white")
    play.scan(piece, "printer 1")
    play.scan(DOWN, "printer 1", after_s=5)
    answer = play.scan(UNDO_CARD, "printer 1", after_s=5)
    assert (answer.outcome, answer.reason) == ("refused", "nothing-to-undo")
    assert answer.say == "printer 1 is down. Its station up card puts it into use again."
    assert play.piece(piece).wet


def test_the_undo_card_does_not_reach_past_a_station_card(play: Play) -> None:
    [piece] = play.job(colour="white")
    play.scan(piece, "printer 1")
    play.scan(DOWN, "printer 1", after_s=5)
    play.scan(UP, "printer 1", after_s=5)
    answer = play.scan(UNDO_CARD, "printer 1", after_s=5)
    assert answer.say == "printer 1 was put into use. Its station down card takes it out again."
    assert play.piece(piece).wet


def test_after_a_station_card_the_undo_card_takes_back_what_was_done_since(play: Play) -> None:
    [piece] = play.job(colour="white")
    play.scan(DOWN, "printer 1")
    play.scan(UP, "printer 1", after_s=5)
    play.scan(piece, "printer 1", after_s=5)
    assert play.scan(UNDO_CARD, "printer 1", after_s=5).outcome == "accepted"
    assert play.piece(piece).position == 0


def test_a_closing_that_is_taken_back_takes_the_fall_of_its_press_with_it(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    play.record([Fact(event=StepInterrupted(piece=piece, step=4), occurred_at=play.now + timedelta(seconds=5))])
    play.scan(UNDO_CARD, "press 1", after_s=20)
    assert cures_of(play.floor, play.piece(piece)) == ()
    assert play.piece(piece).wet


def test_a_late_read_of_a_time_before_the_press_fell_says_what_to_do(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    early = play.now + timedelta(seconds=10)
    play.scan(DOWN, "press 1", after_s=20)
    play.scan(UP, "press 1", after_s=20)
    answer = play.scan(piece, "press 1", at=early)
    assert (answer.outcome, answer.reason, answer.say) == ("refused", "station-down", f"Press anew: {piece}.")
    assert [cure.held_s for cure in cures_of(play.floor, play.piece(piece))] == [20]


def test_a_closing_that_is_told_late_says_that_the_press_fell(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    before = play.now + timedelta(seconds=20)
    play.scan(DOWN, "press 1", after_s=60)
    answer = play.scan(piece, "press 1", at=before)
    assert (answer.seconds_left, answer.say) == (None, f"Cure started at press 1. Press anew: {piece}.")


def test_a_card_that_is_told_late_of_before_the_closing_breaks_the_stay_off(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    before = play.now + timedelta(seconds=5)
    play.scan(piece, "press 1", after_s=20)
    assert play.scan(DOWN, "press 1", at=before).say.endswith(f"Press anew: {piece}.")
    assert play.piece(piece).wet


def test_a_card_that_is_told_late_breaks_nothing_off_where_the_press_was_up_before_the_closing(
    play: Play,
) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    down, up = (play.now + timedelta(seconds=after_s) for after_s in (5, 10))
    play.scan(piece, "press 1", after_s=20)
    play.scan(UP, "press 1", at=up)
    play.scan(DOWN, "press 1", at=down)
    assert play.piece(piece).in_work


def test_a_piece_that_counted_as_spoiled_when_its_press_fell_must_be_pressed_anew_too(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    play.scan(card(CodeType.REASON, "stain"), "inspection", after_s=5)
    play.scan(piece, "inspection", after_s=5)
    play.scan(DOWN, "press 1", after_s=5)
    play.scan(UP, "press 1", after_s=5)
    play.scan(UNDO_CARD, "inspection", after_s=5)
    assert play.piece(piece).state == "open"
    assert play.piece(piece).wet
