"""A shop as the floor asks about it: its cards, its stations, its hands, and the route of a piece."""

from decimal import Decimal
from pathlib import Path

import pytest

from shared.codes import CodeType, parse
from shared.files.problems import ProblemsFound
from shared.files.shop import PrintInk, Shop, load_shop, parse_shop
from tests.making import NEW_SHOP, large_shop, shop, shop_data

FRONT = PrintInk(place="front", white_ml=Decimal(2), colour_ml=Decimal(1))
BACK = PrintInk(place="back", white_ml=Decimal(4), colour_ml=Decimal(3))


def with_route(*steps: object, **changes: object) -> Shop:
    data = shop_data()
    data["routes"]["dark garment"] = list(steps)
    data["steps"]["cure"].update(changes)
    return parse_shop(data)


# Reading it


def test_a_shop_is_read_from_its_folder(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(NEW_SHOP.read_text(encoding="utf-8"), encoding="utf-8")
    assert load_shop(tmp_path).name == "My print room"


def test_a_folder_without_a_shop_file_is_told_so(tmp_path: Path) -> None:
    with pytest.raises(ProblemsFound, match="no such file"):
        load_shop(tmp_path)


def test_a_file_that_is_no_toml_is_told_with_its_line(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text('[shop]\nname = "My print room\n', encoding="utf-8")
    with pytest.raises(ProblemsFound, match=r"shop\.toml: line 2"):
        load_shop(tmp_path)


# Stations, presses, machines, hands


def test_a_station_that_does_a_dwell_is_a_press() -> None:
    assert large_shop().presses == ("press 1", "press 2")


def test_a_step_is_done_at_the_stations_that_list_it() -> None:
    assert large_shop().stations_for("colour") == ("printer 1", "printer 2")
    assert large_shop().does("printer 2", "colour")
    assert not large_shop().does("press 2", "colour")


def test_what_the_shop_does_not_know_is_done_nowhere() -> None:
    assert shop().stations_for("varnish") == ()
    assert not shop().does("no such station", "colour")


# Cards


def test_everything_that_has_a_card_is_found_by_its_code() -> None:
    types = [card.type for card in shop().cards.values()]
    counts = {type: types.count(type) for type in CodeType}
    assert counts == {
        CodeType.PIECE: 0,
        CodeType.STATION: 5,
        CodeType.BADGE: 2,
        CodeType.REASON: 6,
        CodeType.COMMAND: 4,
        CodeType.CARE: 3,
    }


def test_every_card_has_a_good_code_of_its_type() -> None:
    for code, card in shop().cards.items():
        read = parse(code)
        assert getattr(read, "type", None) is card.type


def test_a_printed_card_outlives_any_reordering_of_the_shop_file() -> None:
    data = shop_data()
    data["stations"].reverse()
    data["reasons"].append("too pale")
    assert shop().cards.items() <= parse_shop(data).cards.items()


# Routes


def test_a_route_has_the_steps_of_the_shade() -> None:
    assert [step.key for step in shop().route("heavy tee", "light", [FRONT])] == ["colour", "cure", "pack"]


def test_an_unknown_item_or_shade_is_a_key_error() -> None:
    with pytest.raises(KeyError):
        shop().route("heavy tea", "light", [])
    with pytest.raises(KeyError):
        shop().route("golf ball", "dark", [])


def test_a_route_s_own_numbers_go_before_those_of_the_step() -> None:
    own = {"step": "cure", "min_s": 90, "wait_limit_s": 60, "touch_s": 0}
    [cure, _] = with_route(own, "pack").route("heavy tee", "dark", [FRONT])
    assert (cure.min_s, cure.wait_limit_s, cure.touch_s, cure.over_s) == (90, 60, 0, 60)


def test_a_route_s_own_settings_are_added_to_those_of_the_step() -> None:
    own = {"step": "cure", "settings": {"temperature_c": 170}}
    [cure, _] = with_route(own, "pack").route("heavy tee", "dark", [FRONT])
    assert cure.settings == {"temperature_c": "170", "cover": "parchment"}


def test_a_route_s_own_uses_stand_for_those_of_the_step() -> None:
    own = {"step": "cure", "uses": {"consumables": "0.10"}}
    [cure, _] = with_route(own, "pack").route("heavy tee", "dark", [FRONT])
    assert cure.uses.consumables == Decimal("0.10")


def test_each_ink_goes_to_the_step_that_lays_it_down() -> None:
    uses = {step.key: step.uses for step in shop().route("heavy tee", "dark", [FRONT])}
    assert [uses[key].white_ml for key in ("underlayer", "colour", "cure")] == [2, 0, 0]
    assert [uses[key].colour_ml for key in ("underlayer", "colour", "cure")] == [0, 1, 0]


def test_a_light_garment_gets_no_white_ink() -> None:
    assert sum(step.uses.white_ml for step in shop().route("heavy tee", "light", [FRONT])) == 0


def test_each_place_gets_its_own_ink() -> None:
    route = shop().route("heavy tee", "dark", [FRONT, BACK])
    white_ml = {step.label: step.uses.white_ml for step in route if step.uses.white_ml}
    assert white_ml == {"underlayer front": Decimal(2), "underlayer back": Decimal(4)}


def test_packing_is_done_once_for_all_places() -> None:
    assert [step.label for step in shop().route("heavy tee", "light", [FRONT, BACK])] == [
        "colour front",
        "cure front",
        "colour back",
        "cure back",
        "pack",
    ]
