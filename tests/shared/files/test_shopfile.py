"""The shop file: each value of it, and what its owner is told about a wrong one."""

from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.files.problems import Problem, ProblemsFound
from shared.files.shop import parse_shop
from shared.files.shopfile import ShopFile
from shared.files.stepfile import StepTable
from tests.making import shop_data

Path = Sequence[str | int]


def changed(path: Path, value: Any) -> dict[str, Any]:
    """The data of the shop file that `init` makes, one value of it changed; None takes it out."""
    data: Any = shop_data()
    inner = data
    for part in path[:-1]:
        inner = inner[part]
    if value is None:
        del inner[path[-1]]
    else:
        inner[path[-1]] = value
    return dict(data)


def problems(data: dict[str, Any]) -> list[Problem]:
    with pytest.raises(ProblemsFound) as refused:
        parse_shop(data)
    return refused.value.problems


def only(path: Path, value: Any) -> str:
    """The one line that is said about one wrong value, without the file's name."""
    [problem] = problems(changed(path, value))
    return problem.line().removeprefix("shop.toml: ")


# What is written, is read


def test_the_file_that_init_makes_is_sound() -> None:
    assert parse_shop(shop_data()).name == "My print room"


def test_numbers_may_be_written_bare_or_in_quotes() -> None:
    for cost in ("2.60", 2.60, 2.6):
        file = ShopFile.model_validate(changed(("items", "heavy tee", "cost"), cost))
        assert file.items["heavy tee"].cost == Decimal("2.6")


def test_what_may_be_left_out_has_a_usual_value() -> None:
    data = shop_data()
    for table in ("hours", "prices", "inks", "badges", "care", "reasons", "pages"):
        del data[table]
    data["shop"] = {"name": "Kittiwake Print Room"}
    file = parse_shop(data).file
    assert (file.shop.currency, file.shop.zone, file.shop.database) == ("USD", "UTC", "sqlite:///ledger.db")
    assert (file.hours, file.badges, file.pages.listen) == (None, [], "127.0.0.1:8765")


def test_what_a_price_list_leaves_out_costs_nothing() -> None:
    prices = parse_shop(shop_data(prices={})).file.prices
    assert set(prices.model_dump(exclude={"margin"}).values()) == {Decimal(0)}


def test_what_a_step_leaves_out_takes_no_time_and_uses_nothing() -> None:
    step = a_step()
    assert (step.touch_s, step.machine_s, step.min_s, step.wait_limit_s, step.over_s) == (0, 0, 0, None, 60)
    assert set(step.uses.model_dump().values()) == {Decimal(0)}


def test_what_a_station_and_a_scanner_leave_out_has_a_usual_value() -> None:
    data = shop_data(scanners=[{"name": "gun", "port": "COM3"}])
    data["stations"][0] = {"name": "pretreat booth", "steps": ["pretreat"]}
    file = parse_shop(data).file
    assert (file.stations[0].machine_per_hour, file.stations[0].head_room_mm) == (Decimal(0), 127)
    assert (file.scanners[0].baud, file.scanners[0].station, file.shop.repeat_window_s) == (9600, None, 2)


@pytest.mark.parametrize("every", ["0h", "-1h", "1.5h", "h", "", "1w", "100001s"])
def test_what_is_no_interval_is_refused(every: str) -> None:
    assert only(("care", 0, "every"), every).startswith('care[0] "stir white ink".every: found')


@pytest.mark.parametrize(
    ("every", "is_"),
    [("8h", timedelta(hours=8)), ("90m", timedelta(minutes=90)), ("1 d", timedelta(days=1)), ("30s", timedelta(0, 30))],
)
def test_a_care_task_s_interval_has_a_unit(every: str, is_: timedelta) -> None:
    assert ShopFile.model_validate(changed(("care", 0, "every"), every)).care[0].every == is_


def a_step(**values: Any) -> StepTable:
    return StepTable.model_validate({"event": "done", "kind": "hand", **values})


def test_a_dwell_is_always_scanned_at_both_ends() -> None:
    assert a_step(kind="dwell", min_s=60).scanned == "in_out"
    assert a_step().scanned == "out"


def test_inspection_and_cure_stop_what_comes_after_them_unless_the_shop_says_otherwise() -> None:
    assert a_step(kind="dwell", min_s=60).safe_if_missed == "stop"
    assert a_step(event="inspected").safe_if_missed == "stop"
    assert a_step(event="packed").safe_if_missed == "assume"
    assert a_step(event="inspected", if_missed="assume").safe_if_missed == "assume"


def test_which_ink_a_step_lays_down_follows_from_its_event_unless_the_shop_says_otherwise() -> None:
    assert a_step(event="underlayer printed").lays_down == "white"
    assert a_step(event="colour printed").lays_down == "colour"
    assert a_step(event="varnished").lays_down is None
    assert a_step(event="varnished", ink="colour").lays_down == "colour"
    assert a_step(event="colour printed", ink="none").lays_down is None


# Ink: 1 pl is 1e-9 ml, an inch is 25.4 mm


def test_a_pass_over_a_square_metre_at_600_dpi_and_21_pl_takes_11_7_ml() -> None:
    colour = ShopFile.model_validate(shop_data()).inks.colour
    assert round(colour.full_ml(Decimal(1000), Decimal(1000)), 3) == Decimal("11.718")


def test_two_passes_take_twice_as_much() -> None:
    inks = ShopFile.model_validate(shop_data()).inks
    area = (Decimal(305), Decimal(330))
    assert inks.white.full_ml(*area) == 2 * inks.colour.full_ml(*area)


# What is wrong, is told: where, what was found, what is allowed, what to do


@pytest.mark.parametrize(
    ("path", "value", "told"),
    [
        (
            ("shop", "currency"),
            "DOLLAR",
            'shop.currency: found "DOLLAR", allowed an ISO 4217 currency code. Write: currency = "USD"',
        ),
        (
            ("shop", "zone"),
            "Mars/Base",
            'shop.zone: found "Mars/Base", allowed an IANA time zone. Write: zone = "America/New_York"',
        ),
        (
            ("shop", "repeat_window_s"),
            -1,
            "shop.repeat_window_s: found -1, allowed a number of seconds from 0 to 86400. Write: repeat_window_s = 1",
        ),
        (
            ("prices", "labour_per_hour"),
            "eighteen",
            'prices.labour_per_hour: found "eighteen", allowed a number from 0 to 1000000. Write: labour_per_hour = 1',
        ),
        (
            ("prices", "spoilage_allowance"),
            1,
            "prices.spoilage_allowance: found 1, allowed a number, at least 0, below 1. "
            "Write: spoilage_allowance = 0.01",
        ),
        (
            ("steps", "cure", "kind"),
            "dwel",
            'steps.cure.kind: found "dwel", allowed "hand" or "machine" or "dwell". Write: kind = "dwell"',
        ),
        (
            ("steps", "cure", "min_s"),
            0,
            "steps.cure.min_s: found 0, allowed a least time above 0 for a dwell. Write: min_s = 180",
        ),
        (
            ("steps", "cure", "scans"),
            "out",
            'steps.cure.scans: found "out", allowed "in_out" for a dwell. Write: scans = "in_out"',
        ),
        (
            ("steps", "colour", "min_s"),
            60,
            "steps.colour.min_s: found 60, allowed a least time for a dwell alone. Write: machine_s = 60",
        ),
        (
            ("items", "heavy tee", "shades", "navy"),
            "drak",
            'items."heavy tee".shades.navy: found "drak", allowed "light" or "dark". Write: navy = "dark"',
        ),
        (
            ("care", 0, "every"),
            8,
            'care[0] "stir white ink".every: found 8, allowed a whole number with s, m, h or d. Write: every = "8h"',
        ),
        (
            ("hours", "mon", 0),
            "8-12",
            'hours.mon[0]: found "8-12", allowed an opening such as "08:00-12:00". Write: mon = ["08:00-12:00"]',
        ),
    ],
)
def test_a_wrong_value_is_told_with_all_that_mends_it(path: Path, value: Any, told: str) -> None:
    assert only(path, value) == told


def test_a_dwell_without_a_least_time_is_told_so() -> None:
    assert only(("steps", "cure", "min_s"), None).startswith("steps.cure.min_s: found 0, allowed a least time above 0")


@pytest.mark.parametrize(
    ("path", "nearest"),
    [
        (("shop", "curency"), "currency"),
        (("prices", "labor_per_hour"), "labour_per_hour"),
        (("inks", "colour", "drop"), "drop_pl"),
        (("items", "heavy tee", "color"), "colours"),
        (("steps", "cure", "waitlimit_s"), "wait_limit_s"),
        (("stations", 0, "step"), "steps"),
        (("scanner",), "scanners"),
        (("hours", "tues"), "tue"),
    ],
)
def test_a_key_with_a_slip_in_it_gets_the_nearest_right_one(path: Path, nearest: str) -> None:
    told = only(path, "5")
    assert "found an unknown key" in told
    assert f"Write: {nearest}" in told


@pytest.mark.parametrize(
    "bad", ["NaN", "Infinity", "-0.01", "1e9", float("nan"), float("inf"), True, [], {}, "", "1,5"]
)
@pytest.mark.parametrize(
    "path", [("prices", "labour_per_hour"), ("items", "heavy tee", "cost"), ("steps", "pack", "uses", "consumables")]
)
def test_what_is_no_amount_of_money_is_refused(path: Path, bad: Any) -> None:
    assert only(path, bad).startswith(f"{path[0]}")


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -1, 86_401, "soon", True, [], {}])
def test_what_is_no_number_of_seconds_is_refused(bad: Any) -> None:
    assert only(("steps", "pretreat", "touch_s"), bad).startswith("steps.pretreat.touch_s: found")


@pytest.mark.parametrize(
    "path",
    [
        *(("shop", "repeat_window_s"), ("steps", "cure", "min_s"), ("routes", "light garment", 1, "min_s")),
        *(("items", "heavy tee", "height_mm"), ("stations", 1, "head_room_mm"), ("pages", "distance_m")),
        ("inks", "underlayer", "full_from_l"),
    ],
)
def test_true_is_no_number(path: Path) -> None:
    assert "found true, allowed a number" in only(path, True)


@pytest.mark.parametrize("table", ["shop", "items", "steps", "routes", "stations"])
def test_a_shop_cannot_be_without(table: str) -> None:
    assert f"shop.toml: {table}" in [problem.where for problem in problems(changed((table,), None))]


@pytest.mark.parametrize("table", ["items", "steps", "routes"])
def test_an_empty_table_is_not_enough(table: str) -> None:
    assert f"shop.toml: {table}" in [problem.where for problem in problems(changed((table,), {}))]


def test_every_wrong_value_is_told_at_once() -> None:
    data = shop_data()
    data["shop"]["currency"] = "DOLLAR"
    data["steps"]["cure"]["min_s"] = -5
    data["prices"]["labor"] = 3
    data["items"]["golf ball"]["cost"] = "cheap"
    wheres = [problem.where.removeprefix("shop.toml: ") for problem in problems(data)]
    assert sorted(wheres) == ['items."golf ball".cost', "prices.labor", "shop.currency", "steps.cure.min_s"]


def test_a_wrong_value_does_not_hide_a_name_that_points_nowhere() -> None:
    data = shop_data()
    data["shop"]["currency"] = "DOLLAR"
    data["prices"]["labour_per_hour"] = "-1"
    data["items"]["golf ball"]["cost"] = "cheap"
    data["steps"]["cure"]["kind"] = "dwel"
    data["stations"][4]["steps"] = ["pakc", "pack"]
    wheres = [problem.where.removeprefix("shop.toml: ") for problem in problems(data)]
    assert sorted(wheres) == [
        'items."golf ball".cost',
        "prices.labour_per_hour",
        "shop.currency",
        'stations[4] "packing".steps[0]',
        "steps.cure.kind",
    ]


def test_openings_that_overlap_are_refused() -> None:
    told = only(("hours", "mon"), ["08:00-12:00", "11:00-13:00"])
    assert told.startswith("hours: found mon is still open when mon opens")


def test_a_shop_that_never_opens_is_refused() -> None:
    assert only(("hours",), {"closed": []}).startswith("hours: found no day has hours")


anything = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=8)),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=8), inner, max_size=3)),
    max_leaves=6,
)


@given(st.sampled_from(sorted(shop_data())), anything)
def test_whatever_stands_in_a_table_is_read_or_refused_with_its_place(table: str, value: Any) -> None:
    try:
        parse_shop({**shop_data(), table: value})
    except ProblemsFound as refused:
        told = refused.problems
    else:
        return
    assert told
    assert all(problem.where.startswith("shop.toml: ") and problem.allowed and problem.do for problem in told)


@pytest.mark.parametrize(
    "tables",
    [
        {"backups": {"folder": "back\0ups"}},
        {"reports": {"folder": "rep\0orts"}},
        {"scanners": [{"name": "gun", "port": "/dev/\0"}]},
        {"shop": {**shop_data()["shop"], "print_command": "lp\0"}},
    ],
    ids=lambda tables: next(iter(tables)),
)
def test_what_the_operating_system_would_stumble_over_is_refused_in_the_file(tables: dict[str, Any]) -> None:
    [problem] = problems(shop_data(**tables))
    assert "a text without NUL" in problem.allowed
