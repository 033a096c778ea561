"""The wall and the plan say the same of a piece that lies wet, for one play says both."""

from datetime import datetime, timedelta

from floor.core.plan.outlook import outlook
from floor.core.plan.wet import wet_queue
from shared.files.shop import Shop, parse_shop
from tests.making import MONDAY, Play, shop_data, walk

PRINTED = (("printer 1", 95),)
PRESSED = (*PRINTED, ("press 1", 20), ("press 1", 90))
"""Half a minute longer than the standard says."""


def cured_last() -> Shop:
    """Light garments are finished when they come out of the press."""
    data = shop_data()
    data["routes"]["light garment"] = [step for step in data["routes"]["light garment"] if step != "pack"]
    return parse_shop(data)


def expected(play: Play) -> list[tuple[datetime | None, datetime | None]]:
    ahead = outlook(play.floor, play.shop, play.now)
    return [(wet.expected_in, wet.expected_out) for wet in wet_queue(ahead, play.now)]


def test_a_piece_comes_out_when_the_plan_says_that_its_job_is_finished() -> None:
    play = Play(cured_last())
    for code in play.job(colour="white", sizes={"M": 10}):
        walk(play, code, PRESSED)
    [code] = play.job(colour="white")
    walk(play, code, PRINTED)
    learned_s = 20 + 90
    assert expected(play) == [(play.now + timedelta(seconds=20), play.now + timedelta(seconds=learned_s))]
    assert outlook(play.floor, play.shop, play.now).finishes()["J0002"] == expected(play)[0][1]


def test_wet_ink_is_pressed_though_the_shop_closes_meanwhile() -> None:
    play = Play()
    codes = play.job(colour="white", sizes={"M": 2})
    _, closes = next(play.shop.hours.openings_from(MONDAY))
    play.now = closes - timedelta(seconds=60)
    for code in codes:
        play.scan(code, "printer 1", at=play.now)
    assert [moment and (moment - closes).total_seconds() for _, moment in expected(play)] == [20, 100]


def wet_s(before: timedelta) -> float:
    """For how long a piece is wet by the wall, whose print was told for a moment so long before its ticket was made."""
    play = Play()
    [code] = play.job(colour="white")
    play.now += timedelta(seconds=30)
    play.scan(code, "printer 1", at=MONDAY - before)
    [wet] = wet_queue(outlook(play.floor, play.shop, play.now), play.now)
    return wet.wet_s


def test_a_print_of_an_hour_before_its_ticket_is_wet_since_then() -> None:
    assert wet_s(timedelta(hours=1)) == 3_630


def test_a_print_that_is_told_for_days_before_its_ticket_is_not_wet_for_days() -> None:
    assert wet_s(timedelta(days=3)) == 30
