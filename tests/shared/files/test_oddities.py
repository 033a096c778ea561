"""What a shop file may say, but hardly means."""

import pytest

from shared.files.oddities import Oddity, oddities
from shared.files.shop import parse_shop
from tests.making import shop_data


def odd_with(**cure: object) -> list[Oddity]:
    """A shop file whose cure says something else."""
    steps = shop_data()["steps"]
    return list(oddities(parse_shop(shop_data(steps={**steps, "cure": {**steps["cure"], **cure}})).file))


def test_nothing_is_unusual_in_a_new_shop_file() -> None:
    assert odd_with() == []


@pytest.mark.parametrize(
    ("cure", "where", "found"),
    [
        ({"min_s": 3}, "steps.cure.min_s", "3 s"),
        ({"min_s": 18_000}, "steps.cure.min_s", "18000 s"),
        ({"wait_limit_s": 20}, "steps.cure.wait_limit_s", "20 s"),
        ({"settings": {"temperature_c": 1650}}, "steps.cure.settings.temperature_c", "1650 °C"),
        ({"settings": {"temperature_c": 16.5}}, "steps.cure.settings.temperature_c", "16.5 °C"),
    ],
)
def test_a_value_that_is_far_off_is_told_with_what_is_usual(cure: dict[str, object], where: str, found: str) -> None:
    [odd] = odd_with(**cure)
    assert (odd.where, odd.found) == (where, found)


def test_what_a_route_says_otherwise_is_looked_at_too() -> None:
    routes = {**shop_data()["routes"], "light garment": ["colour", {"step": "cure", "min_s": 1.5}, "pack"]}
    [odd] = oddities(parse_shop(shop_data(routes=routes)).file)
    assert (odd.where, odd.found, odd.usual) == ('routes."light garment"[1].min_s', "1.5 s", "15 to 1800 s")


def test_a_setting_in_words_is_not_judged() -> None:
    assert odd_with(settings={"temperature_c": "hot", "cover": "parchment"}) == []
