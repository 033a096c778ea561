"""Facts of the trade, held against the shop file that `init` makes.

Common practice, no source: what people who print garments tell each other, within the bounds that are written here.
"""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from floor.core.cost.quote import quote_answer, quoted_lines
from floor.core.times.cycle import Walks, cycle_time, standard_s
from shared.files.jobfile import JobFile, parse_job, route_of
from shared.files.problems import ProblemsFound
from shared.files.shop import parse_shop
from shared.money import Element, by_element
from shared.plain import plain
from shared.route import Route
from tests.making import DARK_WALK, LIGHT_WALK, Play, job_data, shop, shop_data, walk

INCH_MM = Decimal("25.4")
CENT = Decimal("0.01")


def order(colour: str, width_in: int, height_in: int, price_each: str = "15.99", **print_values: str) -> JobFile:
    """One garment with a print of so many inches on its front."""
    data = job_data(colour=colour, price_each=price_each)
    size = {"width_mm": width_in * INCH_MM, "height_mm": height_in * INCH_MM}
    data["lines"][0]["prints"] = [{"place": "front", **size, **print_values}]
    return parse_job(data, shop())


def oversized(colour: str) -> JobFile:
    """A full print of 16 × 20 inches, nearly all of it inked."""
    return order(colour, 16, 20, coverage="0.93")


def cost(job: JobFile) -> dict[Element, Decimal]:
    [line] = quoted_lines(job, shop())
    return by_element(line.quoted["M"])


def route(job: JobFile) -> Route:
    return route_of(job.lines[0], shop())


def minutes(job: JobFile) -> float:
    """From door to door on one set of machines, if nothing waits."""
    return sum(map(standard_s, route(job))) / 60


def test_a_full_oversized_print_on_a_dark_garment_takes_about_ten_minutes() -> None:
    assert 9 < minutes(oversized("black")) < 11


def test_a_light_garment_takes_about_a_third_of_that() -> None:
    assert minutes(oversized("white")) / minutes(oversized("black")) == pytest.approx(1 / 3, rel=0.1)


@pytest.mark.parametrize(("colour", "stops"), [("black", DARK_WALK), ("white", LIGHT_WALK)])
def test_a_piece_that_is_walked_at_the_standard_takes_as_long_as_its_route_says(
    colour: str, stops: tuple[tuple[str, float], ...]
) -> None:
    play = Play()
    [piece] = play.job(colour=colour)
    walk(play, piece, stops)
    cycle = cycle_time(Walks(play.floor, play.shop).of(play.piece(piece)), play.shop.hours)
    standard = sum(map(standard_s, play.piece(piece).route))
    assert cycle is not None
    assert cycle.elapsed == timedelta(seconds=standard)


def test_the_ink_of_a_full_oversized_print_on_dark_costs_about_a_dollar_37() -> None:
    amounts = cost(oversized("black"))
    assert abs(amounts["white_ink"] + amounts["colour_ink"] - Decimal("1.37")) < Decimal("0.05")


def test_blank_and_ink_of_it_cost_about_three_dollars_and_a_half_at_a_blank_of_one_to_two() -> None:
    amounts = cost(oversized("black"))
    assert 1 <= amounts["garment"] <= 2
    assert abs(sum(amounts[key] for key in KEPT) - Decimal("3.50")) < Decimal("0.25")


KEPT: tuple[Element, ...] = ("garment", "white_ink", "colour_ink")


def test_ink_on_a_light_garment_costs_15_to_35_cents_for_an_ordinary_design() -> None:
    amounts = cost(order("white", 12, 14))
    assert amounts["white_ink"] == 0
    assert Decimal("0.15") <= amounts["colour_ink"] <= Decimal("0.35")


def test_a_dark_garment_is_cured_for_three_minutes() -> None:
    [cure] = [step for step in route(oversized("black")) if step.kind == "dwell"]
    assert cure.min_s == 180


def test_wet_ink_may_wait_for_minutes_and_not_for_hours() -> None:
    [cure] = [step for step in route(oversized("black")) if step.kind == "dwell"]
    assert cure.wait_limit_s is not None
    assert 10 * 60 <= cure.wait_limit_s <= 60 * 60


@pytest.mark.parametrize(
    ("colour", "price"), [("white", "14.99"), ("white", "15.99"), ("black", "19.99"), ("black", "24.99")]
)
def test_the_usual_retail_price_leaves_the_margin_that_the_quote_says(colour: str, price: str) -> None:
    job = order(colour, 12, 14, price)
    quote: Any = plain(quote_answer(quoted_lines(job, shop()), "USD", CENT))
    spent = dark_by_hand() if colour == "black" else light_by_hand()
    margin = Decimal(price) - round(spent, 2)
    assert quote["margin"] == str(margin)
    assert quote["margin_share"] == str(round(margin / Decimal(price), 4))
    assert margin / Decimal(price) > Decimal("0.5"), "a shop that keeps less than half of it would not live long"


FULL_ML = 600 * 600 / Decimal("0.0254") ** 2 * Decimal("21e-9") * (12 * 14 * INCH_MM**2 / 1_000_000)
"""One pass over 12 × 14 inches: 600 × 600 drops an inch of 21 pl."""


def light_by_hand() -> Decimal:
    """Blank, ink, hands with their overhead, machines, sheet and bag; and three per cent for spoilage."""
    hands_h = Decimal(20 + 20 + 20) / 3600
    machines = Decimal(75) / 3600 * 6 + Decimal(60) / 3600 * 4
    inks = FULL_ML * Decimal("0.8") * Decimal("0.19")
    return (2 + inks + hands_h * Decimal("27.50") + machines + Decimal("0.09")) * Decimal("1.03")


def dark_by_hand() -> Decimal:
    """The same with pretreat, an underlayer in two passes, an inspection, and a longer cure."""
    hands_h = Decimal(90 + 30 + 15 + 20 + 20 + 20) / 3600
    machines = Decimal(120 + 120) / 3600 * 6 + Decimal(180) / 3600 * 4
    inks = FULL_ML * Decimal("0.8") * (Decimal("0.19") + 2 * Decimal("0.21"))
    pretreat = 24 * Decimal("0.014")
    return (2 + inks + pretreat + hands_h * Decimal("27.50") + machines + Decimal("0.09")) * Decimal("1.03")


def test_a_printer_has_about_five_inches_of_height() -> None:
    rooms = [station.head_room_mm for station in shop().stations.values() if "colour" in station.steps]
    assert rooms == [float(5 * INCH_MM)]


@pytest.mark.parametrize(("height_mm", "fits"), [(127, True), (128, False)])
def test_an_item_that_is_higher_is_refused_by_name(height_mm: int, fits: bool) -> None:
    data = shop_data()
    data["items"]["oak box"] = {
        "cost": 9,
        "shades": {"natural": "light"},
        "routes": {"light": "hard goods"},
        "height_mm": height_mm,
    }
    if fits:
        assert parse_shop(data).item("oak box").height_mm == height_mm
        return
    with pytest.raises(ProblemsFound, match=r'items\."oak box"\.height_mm: found 128, allowed at most 127 mm'):
        parse_shop(data)
