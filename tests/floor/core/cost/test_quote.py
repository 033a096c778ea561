"""The quote, worked out by hand from the shop file that `init` makes."""

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.core.cost.pricing import at_margin, without_prices
from floor.core.cost.quote import line_cost, quote_answer, quoted_lines
from shared.events.jobs import Line
from shared.files.jobfile import parse_job
from shared.files.shop import Shop, parse_shop
from shared.money import ELEMENTS, Costing, by_element
from shared.plain import plain
from tests.making import job_data, shop, shop_data

CENT = Decimal("0.01")


def lines(its_shop: Shop | None = None, **wishes: Any) -> tuple[Line, ...]:
    return quoted_lines(parse_job(job_data(**wishes), its_shop or shop()), its_shop or shop())


def each(size: str = "M", **wishes: Any) -> Costing:
    """The charges of one good piece."""
    [line] = lines(sizes={size: 1}, **wishes)
    return line.quoted[size]


def answer(**wishes: Any) -> dict[str, Any]:
    return plain(quote_answer(lines(**wishes), "USD", CENT))


# A dark tee of size M with a front print of 305 × 330 mm, element by element

AREA_M2 = Decimal("0.305") * Decimal("0.330")
FULL_ML = 600 * 600 / Decimal("0.0254") ** 2 * Decimal("21e-9") * AREA_M2
"""One pass over the whole print: 600 × 600 dots an inch of 21 pl each, 1 pl = 1e-9 ml."""

BY_HAND = {
    "garment": Decimal("2.00"),
    "pretreat": 24 * Decimal("14.00") / 1000,
    "white_ink": 2 * FULL_ML * Decimal("0.8") * Decimal("0.21"),
    "colour_ink": FULL_ML * Decimal("0.8") * Decimal("0.19"),
    "labour": Decimal(90 + 30 + 15 + 20 + 20 + 20) / 3600 * 18,
    "machine": Decimal(120 + 120) / 3600 * 6 + Decimal(180) / 3600 * 4,
    "consumables": Decimal("0.03") + Decimal("0.06"),
    "overhead": Decimal(90 + 30 + 15 + 20 + 20 + 20) / 3600 * Decimal("9.50"),
}


@pytest.mark.parametrize("element", BY_HAND)
def test_each_element_of_a_dark_tee_comes_out_as_by_hand(element: Any) -> None:
    assert by_element(each())[element] == pytest.approx(BY_HAND[element], abs=Decimal("1e-6"))


def test_an_allowance_for_rest_is_a_share_of_what_hands_take_and_of_its_overhead() -> None:
    [line] = lines(parse_shop(shop_data(allowance={"share": "0.10"})), sizes={"M": 1})
    quoted = by_element(line.quoted["M"])
    for element in ("labour", "overhead"):
        assert quoted[element] == pytest.approx(BY_HAND[element] * Decimal("1.1"), abs=Decimal("1e-6"))
    assert quoted["machine"] == by_element(each())["machine"]


def test_the_allowance_for_spoilage_is_a_share_of_all_the_others() -> None:
    others = sum(BY_HAND.values())
    assert by_element(each())["spoilage"] == pytest.approx(others * Decimal("0.03"), abs=Decimal("1e-6"))


def test_a_dark_tee_comes_to_five_dollars_and_24_cents() -> None:
    assert answer()["cost"] == {
        "garment": "2.00",
        "pretreat": "0.34",
        "white_ink": "0.40",
        "colour_ink": "0.18",
        "labour": "0.97",  # 0.975: the total of 5.2439 leaves it no cent
        "machine": "0.60",
        "consumables": "0.09",
        "spoilage": "0.15",
        "overhead": "0.51",
        "total": "5.24",
    }


def test_a_light_garment_takes_no_white_ink_and_no_pretreat() -> None:
    light = by_element(each(colour="white"))
    assert light["white_ink"] + light["pretreat"] == 0
    assert light["colour_ink"] == by_element(each())["colour_ink"]


def test_a_light_garment_has_the_shorter_times_of_its_route() -> None:
    machine = Decimal(75) / 3600 * 6 + Decimal(60) / 3600 * 4
    assert by_element(each(colour="white"))["machine"] == pytest.approx(machine, abs=Decimal("1e-6"))


def test_a_large_size_costs_what_its_blank_costs_more() -> None:
    assert by_element(each("2XL"))["garment"] - by_element(each("M"))["garment"] == Decimal("1.10")


def test_two_places_are_printed_and_cured_twice_and_packed_once() -> None:
    one, two = (by_element(each(places=places)) for places in (("front",), ("front", "back")))
    assert two["white_ink"] == 2 * one["white_ink"]
    assert two["consumables"] == one["consumables"] + Decimal("0.03")


def test_ink_that_the_job_file_gives_is_taken_as_given() -> None:
    data = job_data()
    data["lines"][0]["prints"][0].update(white_ml="4.1", colour_ml=1.6)
    [line] = quoted_lines(parse_job(data, shop()), shop())
    amounts = by_element(line.quoted["M"])
    assert (amounts["white_ink"], amounts["colour_ink"]) == (Decimal("0.861"), Decimal("0.304"))


def test_the_coverage_that_the_job_file_gives_goes_before_the_shop_s() -> None:
    data = job_data()
    data["lines"][0]["prints"][0]["coverage"] = "0.4"
    [line] = quoted_lines(parse_job(data, shop()), shop())
    assert by_element(line.quoted["M"])["colour_ink"] == pytest.approx(BY_HAND["colour_ink"] / 2, abs=Decimal("1e-6"))


def test_a_laydown_that_was_measured_goes_before_the_one_that_is_computed() -> None:
    its_shop = parse_shop(shop_data(inks={"colour": {"laydown_ml_per_m2": "20", "coverage": 1}}))
    [line] = lines(its_shop)
    expected = 20 * AREA_M2 * Decimal("0.19")
    assert by_element(line.quoted["M"])["colour_ink"] == pytest.approx(expected, abs=Decimal("1e-6"))


def test_the_machine_is_paid_at_the_rate_of_the_first_station_that_does_the_step() -> None:
    data = shop_data()
    data["stations"].insert(0, {"name": "fast printer", "steps": ["colour"], "machine_per_hour": "12.00"})
    [line] = lines(parse_shop(data))
    [colour] = [charge for charge in line.quoted["M"] if (charge.element, charge.kind.what) == ("machine", "colour")]
    assert colour.price == 12


# The answer


def test_a_quote_has_the_keys_that_scripts_rest_on() -> None:
    assert answer().keys() == {"currency", "pieces", "lines", "cost", "price", "margin", "margin_share"}
    assert {"line", "quantity", "each", "price_each"} <= answer()["lines"][0].keys()


def test_price_and_margin_are_those_of_the_whole_order() -> None:
    quote = answer(sizes={"M": 10}, price_each="21.50")
    assert (quote["price"], quote["cost"]["total"]) == ("215.00", "52.44")
    assert (quote["margin"], quote["margin_share"]) == ("162.56", "0.7561")


def test_lines_are_numbered_from_one() -> None:
    data = job_data()
    data["lines"] *= 2
    assert [line.number for line in quoted_lines(parse_job(data, shop()), shop())] == [1, 2]


def test_one_of_a_line_costs_the_mean_of_its_sizes() -> None:
    [line] = answer(sizes={"M": 4, "2XL": 1})["lines"]
    assert (line["quantity"], line["each"]["garment"]) == (5, "2.22")  # (4 × 2.00 + 3.10) / 5


def test_what_is_given_away_has_no_margin_share() -> None:
    assert answer(price_each="0")["margin_share"] is None


def test_a_job_below_its_cost_has_a_margin_below_nothing() -> None:
    quote = answer(price_each="5.00")
    assert (quote["margin"], quote["margin_share"]) == ("-0.24", "-0.0488")  # 5.2439 is what it costs


def test_a_currency_without_cents_has_none() -> None:
    quote = plain(quote_answer(lines(price_each="2150"), "JPY", Decimal(1)))
    assert (quote["price"], quote["cost"]["total"]) == ("2150", "5")


def generous_shop() -> Shop:
    """A shop with setup, a margin and breaks."""
    data = shop_data(breaks=[{"from_pieces": 12, "off": "0.05"}, {"from_pieces": 100, "off": "0.12"}])
    data["prices"]["margin"] = "0.55"
    for n, step in enumerate(data["steps"].values(), start=1):
        step["setup_s"] = 37 * n
    return parse_shop(data)


GENEROUS = generous_shop()
orders = st.lists(
    st.tuples(
        st.dictionaries(st.sampled_from(["S", "M", "2XL", "3XL"]), st.integers(1, 90), min_size=1),
        st.sampled_from(["navy", "white"]),
        st.lists(st.sampled_from(["front", "back", "left sleeve"]), min_size=1, unique=True),
        st.none() | st.decimals(0, 1000, places=2),
    ),
    min_size=1,
    max_size=4,
)


@given(orders)
def test_with_setup_and_breaks_the_elements_and_the_parts_add_up_for_every_line_size_and_job(order: Any) -> None:
    data = job_data()
    data["lines"] = []
    for sizes, colour, places, price_each in order:
        [line] = job_data(sizes=sizes, colour=colour, places=places, price_each=str(price_each))["lines"]
        data["lines"].append(line if price_each is not None else {**line, "price_each": None})
    quoted = quoted_lines(parse_job(data, GENEROUS), GENEROUS)
    quote: Any = plain(quote_answer(quoted, "USD", CENT))
    for each in (quote, *quote["lines"]):
        assert sum(Decimal(each["cost"][element]) for element in ELEMENTS) == Decimal(each["cost"]["total"])
        assert Decimal(each["price"]) - Decimal(each["cost"]["total"]) == Decimal(each["margin"])
    for each in quote["lines"]:
        assert sum(map(Decimal, each["parts"].values())) == Decimal(each["each"]["total"])
        for size in each["sizes"].values():
            assert sum(Decimal(size["each"][element]) for element in ELEMENTS) == Decimal(size["each"]["total"])
    assert sum(Decimal(each["price"]) for each in quote["lines"]) == Decimal(quote["price"])
    assert sum(sum(line_cost(line).values()) for line in quoted) == sum(
        charge.amount * line.sizes[size]
        for line in quoted
        for size, costing in line.quoted.items()
        for charge in costing
    )


@given(orders)
def test_a_job_at_a_margin_meets_it_with_every_line_and_as_a_whole(order: Any) -> None:
    data = job_data()
    data["lines"] = [
        job_data(sizes=sizes, colour=colour, places=places)["lines"][0] for sizes, colour, places, _ in order
    ]
    asked = at_margin(GENEROUS, Decimal("0.6"))
    quote: Any = plain(quote_answer(quoted_lines(without_prices(parse_job(data, asked)), asked), "USD", CENT))
    for each in (quote, *quote["lines"]):
        assert Decimal(each["margin_share"]) >= Decimal("0.6")


sizes = st.dictionaries(st.sampled_from(["S", "M", "2XL", "3XL"]), st.integers(1, 400), min_size=1)


@given(sizes, st.sampled_from(["navy", "white"]), st.decimals(0, 1000, places=2))
def test_the_elements_add_up_to_the_total_and_price_less_total_to_the_margin(
    sizes: dict[str, int], colour: str, price_each: Decimal
) -> None:
    quote = answer(sizes=sizes, colour=colour, price_each=str(price_each))
    for costs in (quote["cost"], *(line["each"] for line in quote["lines"])):
        assert sum(Decimal(costs[element]) for element in ELEMENTS) == Decimal(costs["total"])
    assert Decimal(quote["price"]) - Decimal(quote["cost"]["total"]) == Decimal(quote["margin"])


@pytest.mark.parametrize(("price_each", "told"), [("21.5", "21.50"), ("0.125", "0.125")])
def test_a_price_of_one_is_told_so_that_it_makes_the_price_of_all(price_each: str, told: str) -> None:
    [line] = answer(price_each=price_each, sizes={"M": 3})["lines"]
    assert line["price_each"] == told
    assert Decimal(line["price"]) == round(3 * Decimal(told) + Decimal("0.0001"), 2)
