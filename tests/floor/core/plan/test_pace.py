"""How long steps take: the standard, until the shop has shown often enough that it takes another time."""

from datetime import timedelta

from floor.core.plan.pace import OF_EACH_ITEM, LearnedTimes, learned
from floor.core.times.robust import ENOUGH
from shared.route import Step
from tests.making import LIGHT_WALK, MONDAY, Play, walk

SLOW_CURE = (("printer 1", 95), ("press 1", 30), ("press 1", 100), ("packing", 20))
"""Taken out 40 s later than it could be."""
STANDARD_CURE_S, SLOW_CURE_S = 80, 120
STANDARD_PRINT_S = 95


def pieces(play: Play, count: int, **wishes: str) -> list[str]:
    return play.job(colour="white", sizes={"M": count}, **wishes)


def takes_s(play: Play, step: int, item: str = "heavy tee") -> float:
    """How long a step of a light garment is expected to take, now that one more of it is open."""
    [code] = pieces(play, 1, item=item)
    return learned(play.floor, play.shop).takes_s(play.piece(code).route[step], item)


def after(count: int, *stops: tuple[str, float]) -> Play:
    """A shop in which so many light garments were finished, one after the other."""
    play = Play()
    for code in pieces(play, count):
        walk(play, code, stops)
    return play


def test_a_new_shop_goes_by_the_standard() -> None:
    assert takes_s(Play(), 1) == STANDARD_CURE_S


def test_a_cure_takes_as_long_as_it_took_so_far_with_the_time_to_close_the_press() -> None:
    assert takes_s(after(ENOUGH, *SLOW_CURE), 1) == SLOW_CURE_S


def test_with_too_few_times_nothing_is_learned() -> None:
    assert takes_s(after(ENOUGH - 1, *SLOW_CURE), 1) == STANDARD_CURE_S


def test_a_few_wild_times_change_nothing() -> None:
    play = after(ENOUGH, *SLOW_CURE)
    for code in pieces(play, 3):
        walk(play, code, (("printer 1", 95), ("press 1", 30), ("press 1", 5000), ("packing", 20)))
    assert takes_s(play, 1) == SLOW_CURE_S


def test_what_is_learned_of_one_item_says_nothing_of_another() -> None:
    play = after(ENOUGH, *SLOW_CURE)
    assert takes_s(play, 1, "hooded sweatshirt") == STANDARD_CURE_S


def test_what_is_learned_of_a_short_cure_says_nothing_of_a_long_one() -> None:
    play = after(ENOUGH, *SLOW_CURE)
    [dark] = play.job()
    assert learned(play.floor, play.shop).takes_s(play.piece(dark).route[4], "heavy tee") == 200


def test_a_step_scanned_once_takes_the_time_since_the_read_before() -> None:
    play = Play()
    codes = pieces(play, ENOUGH + 1)
    for code in codes:
        play.scan(code, "printer 1", after_s=110)
    for code in codes:
        walk(play, code, LIGHT_WALK[1:])
    assert takes_s(play, 0) == 110


def test_a_time_at_the_bound_of_what_may_be_derived_is_not_learned_from() -> None:
    play = Play()
    codes = pieces(play, ENOUGH + 1)
    for code in codes:
        play.scan(code, "printer 1", after_s=3 * STANDARD_PRINT_S + 1)
    for code in codes:
        walk(play, code, LIGHT_WALK[1:])
    assert takes_s(play, 0) == STANDARD_PRINT_S


def test_a_step_that_was_assumed_is_not_learned_from() -> None:
    play = Play()
    codes = play.job(sizes={"M": ENOUGH + 2})
    for code in codes:
        play.scan(code, "printer 1", after_s=150)
        play.spoil(code, "printer 1")
    [remake, *_] = play.floor.open
    assert learned(play.floor, play.shop).takes_s(play.piece(remake).route[0], "heavy tee") == 90


def test_the_times_of_long_ago_give_way_to_newer_ones() -> None:
    play = after(OF_EACH_ITEM, *LIGHT_WALK)
    play.now = MONDAY + timedelta(days=1)
    for code in pieces(play, OF_EACH_ITEM):
        walk(play, code, SLOW_CURE)
    assert takes_s(play, 1) == SLOW_CURE_S


def test_a_press_is_never_expected_to_open_before_its_least_time() -> None:
    step = Step(key="cure", event="cured", kind="dwell", scans="in_out", if_missed="stop", touch_s=20, min_s=180)
    assert LearnedTimes({("cure", "heavy tee", 200): 170}).takes_s(step, "heavy tee") == 200


def test_only_items_of_open_pieces_are_looked_for() -> None:
    play = after(ENOUGH, *SLOW_CURE)
    assert learned(play.floor, play.shop) == LearnedTimes({})
