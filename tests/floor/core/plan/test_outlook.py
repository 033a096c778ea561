"""A whole floor played forward: who takes part, and what always holds."""

from datetime import timedelta

from hypothesis import given

from floor.core.folds.fold import fold_all
from floor.core.plan.outlook import Outlook, outlook
from floor.core.plan.pace import LearnedTimes
from floor.core.plan.play import Stay
from floor.core.state.floor import Floor
from shared.files.shop import parse_shop
from tests.floor.plays import Act, days, played
from tests.making import DARK_WALK, LIGHT_WALK, MONDAY, Play, shop_data, walk


def stays(play: Play, floor: Floor | None = None) -> dict[str, list[Stay]]:
    ahead = outlook(floor or play.floor, play.shop, play.now)
    return {piece.code: list(its) for piece, its in ahead.stays()}


def test_each_step_that_lies_before_a_piece_has_its_stay() -> None:
    play = Play()
    [piece] = play.job(colour="white")
    assert stays(play)[piece] == [Stay(0, 95, 1), Stay(95, 175, 3), Stay(175, 195, 4)]
    assert [outlook(play.floor, play.shop, play.now).stations[n] for n in (1, 3, 4)] == [
        "printer 1",
        "press 1",
        "packing",
    ]


def test_what_is_behind_a_piece_is_not_played() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:4])
    assert stays(play)[piece] == [Stay(0, 200, 3), Stay(200, 220, 4)]


def test_a_closed_press_is_busy_until_it_may_be_opened() -> None:
    play = Play()
    pressed, wet = play.job(colour="white", sizes={"M": 2})
    walk(play, wet, LIGHT_WALK[:1])
    walk(play, pressed, LIGHT_WALK[:2])
    play.now += timedelta(seconds=10)
    assert stays(play)[pressed][0] == Stay(0, 50, None)
    assert stays(play)[wet][0] == Stay(50, 130, 3)


def test_a_press_is_closed_not_only_loaded_within_the_wet_limit() -> None:
    data = shop_data(badges=[])
    data["routes"]["hard goods"] = [{"step": "cure", "min_s": 3_000}]
    play = Play(parse_shop(data))
    [slow] = play.job(item="ceramic tile 15 cm", colour="white")
    play.scan(slow, "press 1")
    [piece] = play.job(colour="white")
    printed, pressed, _ = stays(play)[piece]
    assert (pressed.starts_s, pressed.starts_s + 20 - printed.ends_s) == (3_000, 1_200)


def test_other_times_may_be_given() -> None:
    play = Play()
    play.job(colour="white")
    slow = LearnedTimes({("pack", "heavy tee", 20.0): 100.0})
    assert Outlook(play.floor, play.shop, play.now, slow).finishes() == {"J0001": MONDAY + timedelta(seconds=275)}


def test_of_a_held_job_only_wet_ink_takes_part() -> None:
    play = Play()
    wet, dry = play.job(colour="white", sizes={"M": 2})
    walk(play, wet, LIGHT_WALK[:1])
    play.hold()
    assert stays(play) == {wet: [Stay(0, 80, 3)]}
    assert dry not in stays(play)


@given(days)
def test_no_open_piece_of_a_job_that_is_not_held_is_left_out(acts: list[Act]) -> None:
    play = played(acts)
    taking_part = {code for code, piece in play.floor.open.items() if not play.floor.jobs[piece.job].held}
    assert taking_part <= stays(play).keys() <= play.floor.open.keys()


@given(days)
def test_the_same_rows_and_the_same_moment_give_the_same_outlook(acts: list[Act]) -> None:
    play = played(acts)
    assert stays(play, fold_all(play.rows)) == stays(play)


@given(days)
def test_looking_ahead_changes_nothing(acts: list[Act]) -> None:
    play = played(acts)
    before = fold_all(play.rows)
    stays(play)
    assert play.floor == before
