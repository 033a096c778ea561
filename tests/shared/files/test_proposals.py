"""What the owner of a shop file is told to write instead of what is wrong: sensible, and of that very place."""

from typing import Any

import pytest

from shared.files.allowed import USUAL_S
from tests.making import shop_data
from tests.shared.files.test_shopfile import changed, only, problems


@pytest.mark.parametrize(
    ("key", "written", "proposed"),
    [
        ("zone", "Europe/Berln", "Europe/Berlin"),
        ("zone", "berlin", "Europe/Berlin"),
        ("zone", "utc", "UTC"),
        ("zone", "CEST", "America/New_York"),  # not EST, six hours off
        ("currency", "EURO", "EUR"),
        ("currency", "eur", "EUR"),
        ("currency", "US$", "USD"),
        ("language", "DE", "de"),
        ("language", "deutsch", "de"),
        ("language", "German", "de"),
        ("language", "de_DE", "de"),
        ("language", "tlh", "en"),
        ("language", "", "en"),
        ("language", 5, "en"),
        ("currency", True, "USD"),
        ("stock", 4, "label-100x150"),
        ("database", 4, "sqlite:///ledger.db"),
    ],
)
def test_the_nearest_right_name_is_proposed_and_the_usual_one_where_there_is_none(
    key: str, written: Any, proposed: str
) -> None:
    assert only(("shop", key), written).endswith(f'Write: {key} = "{proposed}"')


def test_a_language_that_we_do_not_speak_is_told_with_those_that_we_do() -> None:
    assert only(("shop", "language"), "DE") == 'shop.language: found "DE", allowed en, de. Write: language = "de"'


@pytest.mark.parametrize("table", ["steps", "routes"])
@pytest.mark.parametrize(
    ("key", "usual"), [("min_s", 180), ("wait_limit_s", 1200), ("touch_s", 20), ("machine_s", 120)]
)
def test_a_time_below_nothing_is_no_slip_of_the_same_time_above_it(table: str, key: str, usual: int) -> None:
    step = ("steps", "cure") if table == "steps" else ("routes", "light garment", 1)
    told = only((*step, key), -5)
    assert "found -5, allowed a number of seconds" in told
    assert told.endswith(f". Write: {key} = {usual}")


def test_a_cure_that_is_no_number_is_not_proposed_to_last_a_second() -> None:
    assert only(("steps", "cure", "min_s"), "long").endswith("Write: min_s = 180")


def test_the_usual_times_are_those_of_the_new_shop_file() -> None:
    steps = shop_data()["steps"]
    both = {**steps["colour"], **steps["cure"]}
    assert {key: both[key] for key in USUAL_S} == USUAL_S


@pytest.mark.parametrize("wrong", [True, "1", 1.0, 1.5, 0, -1, "one"])
def test_how_many_pieces_a_station_holds_is_a_whole_number(wrong: Any) -> None:
    told = only(("stations", 3, "holds"), wrong)
    assert told.startswith('stations[3] "press 1".holds: found ')
    assert "allowed a whole number from 1 to 10000. Write: holds = 1" in told


@pytest.mark.parametrize("day", ["mon", "tue", "sun"])
def test_a_wrong_opening_is_told_with_the_day_that_it_is_of(day: str) -> None:
    told = only(("hours", day), ["08:00-12:00", "13:00-25:00"])
    assert told.startswith(f'hours.{day}[1]: found "13:00-25:00"')
    assert told.endswith(f'Write: {day} = ["08:00-12:00"]')


def test_a_wrong_opening_or_entry_of_a_route_does_not_hide_a_name_that_points_nowhere() -> None:
    data = shop_data()
    data["hours"]["tue"] = ["07:00-25:00"]
    data["routes"]["dark garment"][1] = 5
    data["stations"][4]["steps"] = ["pakc", "pack"]
    wheres = [problem.where.removeprefix("shop.toml: ") for problem in problems(data)]
    assert wheres == ["hours.tue[0]", 'routes."dark garment"[1]', 'stations[4] "packing".steps[0]']


# Where it is: people know an entry by its name


@pytest.mark.parametrize("name", ["", 5, None, ["press 1"]])
def test_an_entry_without_a_right_name_has_its_number_alone(name: Any) -> None:
    data = changed(("stations", 3, "holds"), 0)
    data["stations"][3]["name"] = name
    if name is None:
        del data["stations"][3]["name"]
    wheres = {problem.where.removeprefix("shop.toml: ") for problem in problems(data)}
    assert wheres == {"stations[3].name", "stations[3].holds"}


def test_a_name_that_a_terminal_would_act_upon_is_shown_harmlessly() -> None:
    data = changed(("stations", 4, "holds"), 0)
    data["stations"][4]["name"] = "press\x1b[2J" + "x" * 100
    [problem] = problems(data)
    assert problem.line().isprintable()
    assert len(problem.where) < 100
