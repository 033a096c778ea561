"""What a step took of hands and of its machine, worked out by hand; and what holds for any reads in any order."""

from datetime import timedelta

import msgspec
import pytest
from hypothesis import given

from floor.core.folds.fold import fold_all
from floor.core.times.cycle import StepTime, Walks, standard_s
from floor.core.times.share import Share
from floor.core.times.use import station_uses
from shared.codes import CodeType
from shared.files.cards import SIGN_OUT, STATION_DOWN, STATION_UP
from shared.files.shop import parse_shop
from tests.floor.plays import Act, days, played
from tests.making import DARK_WALK, LIGHT_WALK, MONDAY, Play, card, large_shop, shop_data, shop_holding, walk

FRIDAY_EVENING = MONDAY + timedelta(days=4, hours=7, minutes=55)
NEXT_MONDAY = MONDAY + timedelta(days=7)


@pytest.fixture
def play() -> Play:
    """One pair of hands walks all stations."""
    play = Play()
    play.badge = "A"
    return play


def times(play: Play, code: str) -> dict[str, StepTime]:
    return {time.step.label: time for time in Walks(play.floor, play.shop).of(play.piece(code))}


def hands(play: Play, code: str, step: str) -> Share:
    return times(play, code)[step].hands


def machine(play: Play, code: str, step: str) -> Share:
    share = times(play, code)[step].machine
    assert share is not None
    return share


def told(share: Share) -> tuple[float, str, str]:
    return share.seconds, share.basis, share.why


# At the standard


def test_whoever_walks_at_the_standard_takes_the_standard_to_the_second(play: Play) -> None:
    for code in play.job(sizes={"M": 3}):
        walk(play, code)
        for time in times(play, code).values():
            assert time.hands.seconds == time.step.touch_s
            assert time.machine is None or time.machine.seconds == time.step.occupied_s
            standard = time.step.occupied_s if time.step.is_press else standard_s(time.step)
            assert time.processing == timedelta(seconds=standard)


# Hands


def test_the_first_read_of_a_shift_shows_no_time(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth", after_s=600)
    assert told(hands(play, piece, "pretreat")) == (90, "standard", "first read of a shift")


def test_a_read_after_a_sign_out_is_a_first_one(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth")
    play.scan(card(CodeType.COMMAND, SIGN_OUT), "pretreat booth")
    play.scan(other, "pretreat booth", after_s=100)
    assert told(hands(play, other, "pretreat")) == (90, "standard", "first read of a shift")


def test_hands_that_nobody_knows_take_the_standard() -> None:
    play = Play()
    one, other = play.job(sizes={"M": 2})
    for code in (one, other):
        play.scan(code, "pretreat booth", after_s=100)
    assert told(hands(play, other, "pretreat")) == (90, "standard", "hands unknown")


def test_a_shop_with_one_badge_needs_no_sign_in() -> None:
    play = Play(parse_shop(shop_data(badges=[{"name": "A"}])))
    one, other = play.job(sizes={"M": 2})
    for code in (one, other):
        play.scan(code, "pretreat booth", after_s=100)
    assert told(hands(play, other, "pretreat")) == (100, "measured", "")


@pytest.mark.parametrize(
    ("gap_s", "expected"),
    [
        (17, (90, "standard", "too short to be true")),
        (18, (18, "measured", "")),
        (180, (180, "measured", "")),
        (181, (90, "standard", "too long to be one step")),
    ],
)
def test_a_time_that_cannot_be_one_step_is_not_believed(
    play: Play, gap_s: float, expected: tuple[float, str, str]
) -> None:
    """Pretreating takes 90 s: below a fifth of that it was done before, beyond two of it something else was, too."""
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth", after_s=600)
    play.scan(card(CodeType.BADGE, "A"), "pretreat booth", after_s=500)
    play.scan(other, "pretreat booth", after_s=gap_s)
    assert told(hands(play, other, "pretreat")) == expected


def test_a_standard_that_stands_in_takes_no_more_than_the_shift_has_left(play: Play) -> None:
    """Three pieces in 180 s of which two are too short to be true: there is no time for two standards of 90 s."""
    one, two, three = play.job(sizes={"M": 3})
    play.scan(card(CodeType.BADGE, "A"), "pretreat booth", after_s=0)
    for code, after_s in ((one, 170), (two, 15), (three, 15)):
        play.scan(code, "pretreat booth", after_s=after_s)
    assert told(hands(play, one, "pretreat")) == (170, "measured", "")
    assert told(hands(play, two, "pretreat")) == (15, "standard", "too short to be true")
    assert sum(hands(play, code, "pretreat").seconds for code in (one, two, three)) == 200


def test_pieces_that_lie_side_by_side_share_their_time(play: Play) -> None:
    """Four are pretreated together and read one after the other: 300 s since the read before, and 6 s for reading."""
    first, *batch = play.job(sizes={"M": 5})
    play.scan(first, "pretreat booth", after_s=600)
    for n, code in enumerate(batch):
        play.scan(code, "pretreat booth", after_s=2 if n else 300)
    assert {told(hands(play, code, "pretreat")) for code in batch} == {(306 / 4, "shared", "")}


def test_lunch_is_no_work_where_nothing_was_read_in_it(play: Play) -> None:
    """It is closed from twelve to half past."""
    one, other = play.job(sizes={"M": 2})
    noon = MONDAY + timedelta(hours=3)
    play.scan(one, "pretreat booth", at=noon - timedelta(seconds=40))
    play.scan(other, "pretreat booth", at=noon + timedelta(minutes=30, seconds=60))
    assert told(hands(play, other, "pretreat")) == (100, "measured", "")


def test_work_in_closed_hours_shows_itself(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    noon = MONDAY + timedelta(hours=3)
    play.scan(one, "pretreat booth", at=noon + timedelta(minutes=5))
    play.scan(other, "pretreat booth", at=noon + timedelta(minutes=5, seconds=100))
    assert told(hands(play, other, "pretreat")) == (100, "measured", "")


def test_hands_load_a_machine_before_it_runs_not_while_they_do_something_else(play: Play) -> None:
    """A printer is loaded, two thirds of 30 s; then another piece is pretreated, and the first is taken off."""
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth", after_s=600)
    play.scan(other, "pretreat booth", after_s=20 + 100)
    play.scan(one, "printer 1", after_s=30)
    assert told(hands(play, other, "pretreat")) == (100, "measured", "")
    assert told(hands(play, one, "underlayer")) == (30, "standard", "serves a machine")


# Steps that are scanned in and out: an inspection takes 15 s by the standard


@pytest.fixture
def in_and_out() -> Play:
    data = shop_data()
    for key in ("pretreat", "inspect"):
        data["steps"][key]["scans"] = "in_out"
    for route in data["routes"]:
        data["routes"][route] = ["pretreat", "inspect", "pack"]
    play = Play(parse_shop(data))
    play.badge = "A"
    return play


def read(play: Play, *reads: tuple[str, str, float]) -> None:
    for code, station, after_s in reads:
        assert play.scan(code, station, after_s=after_s).good


def test_what_is_scanned_in_and_out_took_the_time_between_however_long(in_and_out: Play) -> None:
    [piece] = in_and_out.job()
    read(in_and_out, (piece, "pretreat booth", 60), (piece, "pretreat booth", 1000))
    assert told(hands(in_and_out, piece, "pretreat")) == (1000, "seen", "")


def test_what_lies_open_together_shares_the_time_by_the_standards(in_and_out: Play) -> None:
    """30 s alone, then 60 s of which two of 90 s get half each, then 20 s alone."""
    one, other = in_and_out.job(sizes={"M": 2})
    booth = "pretreat booth"
    read(in_and_out, (one, booth, 60), (other, booth, 30), (one, booth, 60), (other, booth, 20))
    assert told(hands(in_and_out, one, "pretreat")) == (60, "seen", "")
    assert told(hands(in_and_out, other, "pretreat")) == (50, "seen", "")


def test_what_lies_open_shares_with_the_step_that_the_later_read_reports(in_and_out: Play) -> None:
    """An inspection of 15 s lies open while a piece is packed, which takes 20: they share 70 s as 30 and 40."""
    packed, open_ = in_and_out.job(sizes={"M": 2})
    for code in (packed, open_):
        read(in_and_out, (code, "pretreat booth", 60), (code, "pretreat booth", 90))
    read(in_and_out, (packed, "inspection", 10), (packed, "inspection", 15), (open_, "inspection", 10))
    read(in_and_out, (packed, "packing", 70), (open_, "inspection", 5))
    assert told(hands(in_and_out, open_, "inspect")) == (35, "seen", "")
    assert told(hands(in_and_out, packed, "pack")) == (40, "measured", "")


def test_what_lay_open_over_night_takes_the_standard(in_and_out: Play) -> None:
    [piece] = in_and_out.job(due=NEXT_MONDAY)
    read(in_and_out, (piece, "pretreat booth", 60))
    in_and_out.now = MONDAY + timedelta(days=1)
    read(in_and_out, (piece, "pretreat booth", 0))
    assert told(hands(in_and_out, piece, "pretreat"))[1:] == ("standard", "across closed hours")


def test_what_others_scanned_out_is_not_the_time_of_who_scanned_it_in(in_and_out: Play) -> None:
    one, other = in_and_out.job(sizes={"M": 2})
    read(in_and_out, (one, "pretreat booth", 60))
    in_and_out.badge = "B"
    read(in_and_out, (one, "pretreat booth", 50))
    in_and_out.badge = "A"
    read(in_and_out, (other, "pretreat booth", 40), (other, "pretreat booth", 100))
    assert told(hands(in_and_out, other, "pretreat")) == (100, "seen", "")


# What somebody wrote down


def test_a_moment_that_was_written_down_shows_no_time(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.now += timedelta(hours=1)
    for n, code in enumerate((one, other)):
        play.scan(code, "pretreat booth", device="backfill", at=MONDAY + timedelta(minutes=5, seconds=100 * n))
    assert told(hands(play, other, "pretreat"))[1:] == ("standard", "moment typed")


def test_a_read_that_is_typed_at_once_is_one_of_this_moment(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    for code in (one, other):
        play.scan(code, "pretreat booth", device="by hand", after_s=100)
    assert told(hands(play, other, "pretreat")) == (100, "measured", "")


def test_hands_did_nothing_on_a_piece_before_it_was_ready(play: Play) -> None:
    """B pretreats; A reads something, and 100 s later the inspection of the piece, which was ready for 20 of them."""
    [piece] = play.job()
    play.badge = "B"
    walk(play, piece, DARK_WALK[:1])
    play.badge = "A"
    play.scan(card(CodeType.BADGE, "A"), "inspection", after_s=10)
    play.badge = "B"
    play.scan(piece, "printer 1", after_s=80)
    play.badge = "A"
    play.scan(piece, "inspection", after_s=20)
    assert told(hands(play, piece, "inspect")) == (20, "measured", "")


# Machines


def test_a_machine_that_waited_for_hands_takes_its_standard(play: Play) -> None:
    one, other = play.job(colour="white", sizes={"M": 2})
    play.scan(one, "printer 1", after_s=95)
    play.scan(other, "printer 1", after_s=400)
    assert told(machine(play, one, "colour")) == (75, "standard", "nothing before")
    assert told(machine(play, other, "colour")) == (75, "standard", "waited")


def test_what_lies_in_a_press_together_shares_it() -> None:
    play = Play(shop_holding(2))
    one, other = play.job(colour="white", sizes={"M": 2})
    for code in (one, other):
        play.scan(code, "printer 1", after_s=95)
    for code, after_s in ((one, 20), (other, 20), (one, 60), (other, 20)):
        play.scan(code, "press 1", after_s=after_s)
    assert told(machine(play, one, "cure")) == (20 + 60 / 2, "shared", "")
    assert told(machine(play, other, "cure")) == (60 / 2 + 20, "shared", "")


def test_a_press_that_was_left_closed_over_a_weekend_takes_its_standard(play: Play) -> None:
    """In on Friday at five to five, out on Monday: nobody knows when it could have come out."""
    play.now = FRIDAY_EVENING
    [piece] = play.job(colour="white", due=NEXT_MONDAY + timedelta(days=1))
    walk(play, piece, LIGHT_WALK[:2])
    play.scan(piece, "press 1", at=NEXT_MONDAY)
    assert told(machine(play, piece, "cure")) == (60, "standard", "left closed")
    assert told(hands(play, piece, "cure"))[0] <= 20


def broken_off_after_30_s(play: Play) -> str:
    """A press goes down with a piece in it; the piece is cured for its 60 s when the press runs again."""
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK[:2])
    play.scan(card(CodeType.COMMAND, STATION_DOWN), "press 1", after_s=30)
    play.scan(card(CodeType.COMMAND, STATION_UP), "press 1", after_s=600)
    walk(play, piece, (("press 1", 20), ("press 1", 60), ("packing", 20)))
    return piece


def test_a_stay_that_a_press_broke_off_costs_its_time_too(play: Play) -> None:
    piece = broken_off_after_30_s(play)
    assert told(machine(play, piece, "cure")) == (30 + 60, "seen", "")


def test_a_stay_that_a_press_broke_off_kept_it_busy_and_added_no_value(play: Play) -> None:
    broken_off_after_30_s(play)
    uses = station_uses(Walks(play.floor, play.shop), play.shop, MONDAY, play.now)
    [press] = (use for use in uses if use.station == "press 1")
    assert (press.elapsed.busy, press.elapsed.production) == (timedelta(seconds=90), timedelta(seconds=60))


# Any reads


@given(days)
def test_no_second_is_given_out_twice_and_none_is_below_nothing(acts: list[Act]) -> None:
    play = played(acts)
    walks = Walks(play.floor, play.shop)
    for piece in play.floor.pieces.values():
        for time in walks.of(piece):
            assert time.hands.seconds >= 0
            assert time.machine is None or time.machine.seconds >= 0
    for _, shift in walks.hands.between(MONDAY - timedelta(days=9), MONDAY + timedelta(days=999)):
        assert 0 <= shift.absorbed_s <= shift.present_s + 1e-6


@given(days)
def test_a_press_gives_no_more_than_passed_while_something_was_in_it(acts: list[Act]) -> None:
    play = played(acts)
    walks = Walks(play.floor, play.shop)
    for name in play.shop.stations:
        stays = [
            time
            for piece in play.floor.pieces.values()
            for time in walks.of(piece)
            if time.station == name and time.step.is_press and time.machine and time.machine.basis != "standard"
        ]
        spans = [(time.started, time.done) for time in stays if time.started and time.done]
        if spans:
            longest_s = (max(end for _, end in spans) - min(start for start, _ in spans)).total_seconds()
            assert sum(time.machine.seconds for time in stays if time.machine) <= longest_s + 1e-6


@given(days)
def test_whole_weeks_later_everything_took_as_long(acts: list[Act]) -> None:
    """No change of the zone's offset lies between; the clocks of New York change in March."""
    play = played(acts)
    weeks = timedelta(weeks=3)
    later = fold_all(
        msgspec.structs.replace(row, occurred_at=row.occurred_at + weeks, recorded_at=row.recorded_at + weeks)
        for row in play.rows
    )
    now, then = Walks(play.floor, play.shop), Walks(later, play.shop)
    for piece, other in zip(play.floor.pieces.values(), later.pieces.values(), strict=True):
        for time, moved in zip(now.of(piece), then.of(other), strict=True):
            assert moved.hands.seconds == pytest.approx(time.hands.seconds)
            assert (moved.hands.basis, moved.hands.why) == (time.hands.basis, time.hands.why)
            if time.machine and moved.machine:
                assert moved.machine.seconds == pytest.approx(time.machine.seconds)


def test_a_day_of_a_large_shop_has_a_basis_for_every_step() -> None:
    play = Play(large_shop())
    play.badge = "A"
    [piece] = play.job()
    walk(play, piece, DARK_WALK)
    assert [time.share.basis for time in times(play, piece).values()] == [
        *("standard", "measured", "measured", "measured", "seen", "measured")
    ]
