"""Names of the shop file that point from one table to another, and items that do not fit."""

from typing import Any

import pytest

from shared.files.problems import ProblemsFound
from shared.files.shop import parse_shop
from tests.making import shop_data


def told(data: dict[str, Any]) -> list[str]:
    """What is said about a shop file, without the file's name."""
    try:
        parse_shop(data)
    except ProblemsFound as refused:
        return [problem.line().removeprefix("shop.toml: ") for problem in refused.problems]
    return []


STEPS = "pretreat, underlayer, inspect, colour, cure, pack"


def test_a_route_names_steps() -> None:
    data = shop_data()
    data["routes"]["dark garment"][4] = "cyre"
    assert told(data) == [f'routes."dark garment"[4]: found "cyre", allowed a step: {STEPS}. Write: "cure"']


def test_a_name_that_is_like_no_other_may_be_added() -> None:
    data = shop_data()
    data["routes"]["dark garment"][4] = "steam"
    assert told(data)[0].endswith('. Add step "steam", or use one of those')


def test_a_route_has_each_step_once() -> None:
    data = shop_data()
    data["routes"]["dark garment"].append("cure")
    assert told(data) == [
        'routes."dark garment": found "cure" twice, allowed each step once. Give the second one a step of its own name'
    ]


def test_a_route_gives_a_least_time_to_a_dwell_alone() -> None:
    data = shop_data()
    data["routes"]["light garment"][0] = {"step": "colour", "min_s": 75}
    assert told(data) == [
        'routes."light garment"[0].min_s: found 75, allowed a least time for a dwell alone. Write: machine_s = 75'
    ]


def test_an_item_names_routes() -> None:
    data = shop_data()
    data["items"]["golf ball"]["routes"]["light"] = "hard good"
    assert told(data) == [
        'items."golf ball".routes.light: found "hard good", '
        'allowed a route: dark garment, light garment, hard goods. Write: "hard goods"'
    ]


def test_a_shade_of_an_item_needs_a_route() -> None:
    data = shop_data()
    data["items"]["golf ball"]["shades"]["black"] = "dark"
    [line] = told(data)
    assert line.startswith('items."golf ball".shades.black: found "dark", allowed a shade that has a route: light.')


def test_a_station_names_steps() -> None:
    data = shop_data()
    data["stations"][0]["steps"].append("pakc")
    [line] = told(data)
    assert line == f'stations[0] "pretreat booth".steps[1]: found "pakc", allowed a step: {STEPS}. Write: "pack"'


def test_a_step_that_pieces_must_go_through_needs_a_station() -> None:
    data = shop_data()
    del data["stations"][3]
    assert told(data) == [
        'steps.cure: found no station does it, allowed one station or more. Add "cure" to the steps of a station'
    ]


def test_a_step_that_is_on_no_route_needs_no_station() -> None:
    data = shop_data()
    data["steps"]["varnish"] = {"event": "varnished", "kind": "hand"}
    assert told(data) == []


def test_a_scanner_stands_at_a_station_or_roams() -> None:
    data = shop_data(
        scanners=[{"name": "gun", "port": "COM3", "station": "pres 1"}, {"name": "roamer", "port": "COM4"}]
    )
    [line] = told(data)
    assert line.startswith('scanners[0] "gun".station: found "pres 1", allowed a station: ')
    assert line.endswith('Write: "press 1"')


def test_a_port_has_one_scanner() -> None:
    data = shop_data(scanners=[{"name": "a", "port": "COM3"}, {"name": "b", "port": "COM3"}])
    assert told(data) == [
        'scanners[1] "b".port: found "COM3" again, allowed one scanner a port. Name the port of this scanner'
    ]


def test_a_scanner_has_a_name_of_its_own() -> None:
    data = shop_data(scanners=[{"name": "a", "port": "COM3"}, {"name": "a", "port": "COM4"}])
    assert told(data) == ['scanners[1].name: found "a" again, allowed each name once. Give one of them another name']


@pytest.mark.parametrize("table", ["badges", "care", "stations"])
def test_what_has_a_card_has_a_name_of_its_own(table: str) -> None:
    data = shop_data()
    data[table].append({**data[table][0]})
    name = data[table][0]["name"]
    assert told(data) == [
        f'{table}[{len(data[table]) - 1}].name: found "{name}" again, allowed a name of its own for each. '
        "Give one of them another name"
    ]


def test_case_and_white_space_make_no_other_card() -> None:
    data = shop_data(reasons=["stain", "scorch", " Stain"])
    assert told(data) == [
        'reasons[2]: found " Stain", whose card has the code of "stain", allowed a name of its own for each. '
        "Give one of them another name"
    ]


def test_a_badge_may_be_called_like_a_reason() -> None:
    assert told(shop_data(badges=[{"name": "stain"}], reasons=["stain"])) == []


def test_an_item_that_is_too_high_for_the_printer_is_refused_by_name() -> None:
    data = shop_data()
    data["items"]["golf ball"]["height_mm"] = 127.5
    assert told(data) == [
        'items."golf ball".height_mm: found 127.5, '
        "allowed at most 127 mm, the room under the printer's head at colour. "
        "Use a lower item, or set head_room_mm of the station as its maker states it"
    ]


def test_an_item_that_is_too_high_for_every_printer_is_told_of_the_roomiest() -> None:
    data = shop_data()
    data["items"]["golf ball"]["height_mm"] = 250
    data["stations"].append({"name": "tall printer", "steps": ["colour"], "head_room_mm": 200})
    assert "allowed at most 200 mm" in told(data)[0]


def test_an_item_that_just_fits_is_let_through() -> None:
    data = shop_data()
    data["items"]["golf ball"]["height_mm"] = 127
    assert told(data) == []


def test_an_item_need_fit_under_one_of_the_printers() -> None:
    data = shop_data()
    data["items"]["golf ball"]["height_mm"] = 150
    data["stations"].append({"name": "tall printer", "steps": ["colour"], "head_room_mm": 200})
    assert told(data) == []


def test_an_item_that_is_not_printed_may_have_any_height() -> None:
    data = shop_data()
    data["items"]["gift box"] = {
        "cost": 1,
        "shades": {"white": "light"},
        "routes": {"light": "boxes"},
        "height_mm": 400,
    }
    data["routes"]["boxes"] = ["pack"]
    assert told(data) == []


def test_every_name_that_points_nowhere_is_told_at_once() -> None:
    data = shop_data(scanners=[{"name": "gun", "port": "COM3", "station": "press 9"}])
    data["routes"]["dark garment"][0] = "pretreet"
    data["items"]["golf ball"]["routes"]["light"] = "soft goods"
    data["items"]["canvas 30 x 40"]["height_mm"] = 500
    data["hours"]["mon"] = ["08:00-12:00", "09:00-10:00"]
    wheres = [line.split(":")[0] for line in told(data)]
    assert wheres == [
        'routes."dark garment"[0]',
        'items."golf ball".routes.light',
        'scanners[0] "gun".station',
        'items."canvas 30 x 40".height_mm',
        "hours",
    ]
