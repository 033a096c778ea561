"""When jobs can be expected to be finished, worked out by hand, in a shop with as many hands as it needs.

A dark garment takes 90 + 150 + 15 + 140 + 200 + 20 = 615 s, of which 290 s at a printer and 200 s at a press; a light
one 95 + 80 + 20 = 195 s.
"""

from datetime import datetime, timedelta

from hypothesis import given

from floor.core.plan.alarms import changes
from floor.core.plan.forecast import expected_finishes, late
from shared.files.shop import Shop, parse_shop
from tests.floor.plays import Act, days, played
from tests.making import DARK_WALK, LIGHT_WALK, MONDAY, Play, large_shop, shop_data, walk


def no_badges(*stations: str) -> Shop:
    """The shop without badges, and with some more stations that print."""
    more = [{"name": name, "steps": ["underlayer", "colour"]} for name in stations]
    return parse_shop(shop_data(badges=[], stations=[*shop_data()["stations"], *more]))


def expected_s(play: Play) -> dict[str, float]:
    finishes = expected_finishes(play.floor, play.shop, play.now)
    return {job: (finish - play.now).total_seconds() for job, finish in finishes.items()}


def test_one_piece_takes_as_long_as_its_walk() -> None:
    play = Play()
    play.job()
    assert expected_s(play) == {"J0001": 615}


def test_a_job_is_not_finished_before_its_last_piece() -> None:
    play = Play()
    one, _ = play.job(sizes={"M": 2})
    walk(play, one, DARK_WALK[:6])
    assert expected_s(play) == {"J0001": 615}


def test_many_pieces_take_as_long_as_their_busiest_station_and_what_comes_before_and_after_it() -> None:
    play = Play(no_badges())
    play.job(colour="white", sizes={"M": 10})
    assert expected_s(play) == {"J0001": 10 * 95 + 80 + 20}


def test_pieces_wait_for_one_another_at_a_single_press() -> None:
    play = Play(no_badges("printer 2", "printer 3"))
    play.job(colour="white", sizes={"M": 3})
    assert expected_s(play) == {"J0001": 95 + 3 * 80 + 20}


def test_two_printers_print_two_pieces_at_once() -> None:
    play = Play(no_badges("printer 2"))
    play.job(colour="white", sizes={"M": 4})
    assert expected_s(play) == {"J0001": 95 + 4 * 80 + 20}


def test_one_pair_of_hands_packs_one_piece_at_a_time_though_there_are_two_tables() -> None:
    play = Play(packing_shop(badges=1))
    play.job(colour="white", sizes={"M": 4})
    assert expected_s(play) == {"J0001": 4 * 20}
    play.shop = packing_shop(badges=2)
    assert expected_s(play) == {"J0001": 2 * 20}


def packing_shop(badges: int) -> Shop:
    """Light garments only need packing, at two tables."""
    data = shop_data(badges=[{"name": f"hands {n}"} for n in range(badges)])
    data["routes"]["light garment"] = ["pack"]
    data["stations"].append({"name": "second table", "steps": ["pack"]})
    return parse_shop(data)


def test_one_pair_of_hands_closes_the_press_before_it_loads_the_printer_which_then_needs_none() -> None:
    play = Play(parse_shop(shop_data(badges=[{"name": "A"}])))
    play.job(colour="white", sizes={"M": 2})
    assert expected_s(play) == {"J0001": 95 + 20 + 95 + 80 + 20}


def test_what_is_done_is_no_longer_ahead() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:4])
    assert expected_s(play) == {"J0001": 220}


def test_a_piece_in_a_press_comes_out_when_its_time_is_over() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:5])
    play.now += timedelta(seconds=100)
    assert expected_s(play) == {"J0001": 80 + 20}


def test_a_press_goes_on_while_the_shop_is_closed() -> None:
    play = Play()
    [piece] = play.job()
    play.now = datetime.fromisoformat("2026-11-23T16:59:00-05:00") - timedelta(seconds=90 + 150 + 15 + 140 + 20)
    walk(play, piece, DARK_WALK[:5])
    finish = expected_finishes(play.floor, play.shop, play.now)["J0001"]
    assert finish == datetime.fromisoformat("2026-11-24T08:00:20-05:00")


def test_a_job_waits_for_the_jobs_that_are_due_before_it() -> None:
    play = Play(no_badges())
    play.job(colour="white", sizes={"M": 10}, due=MONDAY + timedelta(days=1))
    play.job(colour="white", sizes={"M": 5}, due=MONDAY + timedelta(days=2))
    assert expected_s(play) == {"J0001": 10 * 95 + 80 + 20, "J0002": 15 * 95 + 80 + 20}


def test_the_later_job_does_not_hold_up_the_earlier_one() -> None:
    play = Play(no_badges())
    play.job(colour="white", sizes={"M": 10}, due=MONDAY + timedelta(days=2))
    play.job(colour="white", sizes={"M": 5}, due=MONDAY + timedelta(days=1))
    assert expected_s(play) == {"J0002": 5 * 95 + 80 + 20, "J0001": 15 * 95 + 80 + 20}


def test_a_job_does_not_wait_for_stations_that_it_does_not_need() -> None:
    data = shop_data(badges=[])
    data["routes"]["hard goods"] = ["pack"]
    play = Play(parse_shop(data))
    play.job(sizes={"M": 10}, due=MONDAY + timedelta(days=1))
    play.job(item="ceramic tile 15 cm", colour="white", due=MONDAY + timedelta(days=2))
    assert expected_s(play)["J0002"] == 20


def test_a_spoiled_piece_is_made_anew_from_the_start() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:4])
    play.spoil(piece, "printer 1")
    assert expected_s(play) == {"J0001": 615}


def test_a_held_job_is_not_expected_and_holds_up_nobody() -> None:
    play = Play()
    play.job(sizes={"M": 10}, due=MONDAY + timedelta(days=1))
    play.job(due=MONDAY + timedelta(days=2))
    play.hold("J0001")
    assert expected_s(play) == {"J0002": 615}


def test_wet_ink_of_a_held_job_is_pressed_before_the_others() -> None:
    play = Play(no_badges())
    [wet] = play.job(colour="white")
    walk(play, wet, LIGHT_WALK[:1])
    play.hold("J0001")
    [other] = play.job(colour="white")
    walk(play, other, LIGHT_WALK[:1])
    assert expected_s(play) == {"J0002": 80 + 80 + 20}


def test_a_finished_job_is_not_expected() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece)
    assert expected_s(play) == {}


def test_work_goes_on_when_the_shop_opens_again() -> None:
    play = Play()
    play.now = datetime.fromisoformat("2026-11-23T16:55:00-05:00")
    play.job()
    finish = expected_finishes(play.floor, play.shop, play.now)["J0001"]
    assert finish == datetime.fromisoformat("2026-11-24T08:05:15-05:00")


def test_a_step_that_no_station_does_any_more_is_not_waited_for_in_a_queue() -> None:
    play = Play()
    play.job(sizes={"M": 3})
    play.shop = without("pretreat booth", "pretreat")
    last_is_inspected_s, last_is_cured_and_packed_s = 15, 200 + 20
    assert expected_s(play) == {"J0001": 90 + 3 * 290 + last_is_inspected_s + last_is_cured_and_packed_s}


def without(station: str, step: str) -> Shop:
    """A shop that has no badges, and has given up a station and its step."""
    data = shop_data(badges=[])
    data["stations"] = [each for each in data["stations"] if each["name"] != station]
    data["routes"]["dark garment"] = [each for each in data["routes"]["dark garment"] if each != step]
    return parse_shop(data)


def test_a_job_that_needs_a_station_that_is_down_is_expected_at_no_time() -> None:
    play = Play()
    play.job()
    play.floor.station("press 1").outages.say(play.now, 1, down=True)
    assert expected_s(play) == {}


def test_the_other_press_takes_the_work_of_one_that_is_down() -> None:
    play = Play(large_shop())
    play.job()
    play.floor.station("press 1").outages.say(play.now, 1, down=True)
    assert expected_s(play) == {"J0001": 615}


# Setting up


def shop_that_sets_up() -> Shop:
    """It takes 240 s to set up the printer for a line."""
    data = shop_data(badges=[])
    data["steps"]["colour"]["setup_s"] = 240
    return parse_shop(data)


def test_a_line_is_set_up_once() -> None:
    play = Play(shop_that_sets_up())
    play.job(colour="white", sizes={"M": 3})
    assert expected_s(play) == {"J0001": 240 + 3 * 95 + 80 + 20}


def test_a_line_that_was_begun_is_not_set_up_again() -> None:
    play = Play(shop_that_sets_up())
    one, *_ = play.job(colour="white", sizes={"M": 3})
    walk(play, one, LIGHT_WALK)
    assert expected_s(play) == {"J0001": 2 * 95 + 80 + 20}


# Late


def is_late(play: Play) -> bool:
    job = play.floor.jobs["J0001"]
    return late(play.floor, job, expected_finishes(play.floor, play.shop, play.now).get("J0001"), play.now)


def test_a_job_is_late_as_soon_as_it_is_expected_after_its_due_time() -> None:
    play = Play()
    play.job(due=MONDAY + timedelta(seconds=614))
    assert is_late(play)


def test_a_late_job_stays_late_until_it_is_sure_to_be_in_time() -> None:
    play = Play()
    [piece] = play.job(due=MONDAY + timedelta(seconds=614))
    play.record(changes(play.floor, play.shop, play.now))
    walk(play, piece, [("pretreat booth", 10)])
    assert is_late(play)
    walk(play, piece, [("printer 1", 10), ("inspection", 10), ("printer 1", 10), ("press 1", 10)])
    assert not is_late(play)


# Always


@given(days)
def test_every_job_with_open_pieces_that_is_not_held_is_expected_while_all_stations_work(acts: list[Act]) -> None:
    play = played(acts)
    for station in play.floor.stations.values():
        station.outages.said.clear()
    open_jobs = {piece.job for piece in play.floor.open.values()}
    finishes = expected_finishes(play.floor, play.shop, play.now)
    assert finishes.keys() == {code for code in open_jobs if not play.floor.jobs[code].held}
    assert all(finish >= play.now for finish in finishes.values())
