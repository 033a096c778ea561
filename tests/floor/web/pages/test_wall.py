"""The wall's page: what the terminal's wall says, in letters as large as the room is deep."""

import re
from datetime import timedelta
from math import atan, degrees

import pytest

from floor.web.pages.wall import CAPITALS, letter_vw
from shared.files.shop import parse_shop
from tests.floor.web import rig
from tests.floor.web.rig import House, Reply
from tests.floor.web.visitor import Visitor, shown, walked
from tests.making import shop_data


def test_an_empty_floor_has_a_wall(house: House) -> None:
    words = shown(Visitor(house).get("/wall"))
    assert "NO ALARM" in words
    assert "no job is open" in words


def test_it_shows_the_press_the_wet_pieces_the_jobs_and_the_alarms(house: House) -> None:
    pressed, wet = house.job(2)
    walked(house, wet, stops=4)
    walked(house, pressed, stops=5)
    house.clock.set(house.clock.now() + timedelta(seconds=60))
    words = shown(Visitor(house).get("/wall"))
    for expected in ("press 1", "2:00", "● CLOSED", "WET", "J0001", "Harbour rowing club", "0/2"):
        assert expected in words, f"{expected} is not on: {words}"


def test_its_data_are_the_board(house: House) -> None:
    house.job()
    board = Visitor(house).get("/api/board").json
    assert board["seq"] == house.ledger.head()
    assert [job["job"] for job in board["jobs"]] == ["J0001"]


def test_a_job_that_is_not_finished_is_expected_and_not_ready(house: House) -> None:
    house.job()
    for page in ("/wall", "/jobs/J0001"):
        words = shown(Visitor(house).get(page))
        assert "expected" in words
        assert "ready" not in words


# Sizes


def letter(reply: Reply) -> float:
    found = re.fullmatch(r":root \{ --letter: (\d+\.\d+)vw; \}\n", reply.body.decode())
    assert found, reply.body
    return float(found[1])


@pytest.mark.parametrize(("distance_m", "screen_in"), [(2, 32), (5, 43), (8, 55), (10, 85)])
def test_its_capitals_are_twenty_minutes_of_arc_high(distance_m: float, screen_in: float) -> None:
    width_mm = screen_in * 25.4 * 16 / (16**2 + 9**2) ** 0.5
    capital_mm = letter_vw(distance_m, screen_in) / 100 * width_mm * CAPITALS
    assert degrees(atan(capital_mm / (distance_m * 1_000))) * 60 == pytest.approx(20, abs=0.1)


def test_no_room_is_so_deep_that_no_word_fits_nor_so_small_that_none_is_read() -> None:
    assert letter_vw(100, 10) == 12
    assert letter_vw(0.1, 100) == 1.2


def test_the_address_says_how_far_off_people_stand(house: House) -> None:
    visitor = Visitor(house)
    near = letter(visitor.get("/wall.css?distance_m=3&screen_in=43"))
    far = letter(visitor.get("/wall.css?distance_m=6&screen_in=43"))
    assert far == pytest.approx(2 * near, abs=0.002)
    assert b"/wall.css?distance_m=3&amp;screen_in=43" in visitor.get("/wall?distance_m=3&screen_in=43").body


@pytest.mark.parametrize("wrong", ["x", "", "nan", "inf", "-1", "0", "1e400", "5;}body{display:none", "%0a"])
def test_what_is_no_distance_is_the_shop_files(house: House, wrong: str) -> None:
    visitor = Visitor(house)
    assert letter(visitor.get(f"/wall.css?distance_m={wrong}")) == letter(visitor.get("/wall.css"))


def test_the_shop_file_says_it_once_for_all(tmp_path_factory: pytest.TempPathFactory) -> None:
    pages = {"listen": "127.0.0.1:0", "distance_m": 8, "screen_in": 65}
    with rig.house(tmp_path_factory.mktemp("shop"), its_shop=parse_shop(shop_data(pages=pages))) as house:
        assert letter(Visitor(house).get("/wall.css")) == pytest.approx(letter_vw(8, 65), abs=0.001)
