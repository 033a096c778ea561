"""A job file: what a customer orders, checked against the shop."""

import tomllib
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.files.jobfile import JobFile, base_cost_notes, load_job, parse_job, route_of, shade_of
from shared.files.problems import ProblemsFound
from shared.files.shop import Shop, parse_shop
from tests.making import job_data, shop, shop_data
from tests.shared.files.shown import JOB


def order(data: dict[str, Any]) -> JobFile:
    return parse_job(data, shop(), file="club.toml")


def line(**values: Any) -> dict[str, Any]:
    """A job file's data, some values of its line changed."""
    data = job_data()
    data["lines"][0].update(values)
    return data


def front(**values: Any) -> dict[str, Any]:
    """A job file's data, some values of its print changed."""
    data = job_data()
    data["lines"][0]["prints"][0].update(values)
    return data


def told(data: dict[str, Any]) -> list[str]:
    """What is said about a job file, without the file's name."""
    with pytest.raises(ProblemsFound) as refused:
        order(data)
    return [problem.line().removeprefix("club.toml: ") for problem in refused.value.problems]


# What is written, is read


def test_a_due_time_is_the_shop_s_own_unless_it_says_otherwise() -> None:
    for due, is_ in (
        (datetime(2026, 12, 2, 16), datetime(2026, 12, 2, 21, tzinfo=UTC)),  # noqa: DTZ001 - as TOML gives it
        (datetime(2026, 12, 2, 16, tzinfo=UTC), datetime(2026, 12, 2, 16, tzinfo=UTC)),
    ):
        assert order({**job_data(), "due": due}).due_in("America/New_York") == is_


def test_a_colour_is_light_or_dark_as_the_item_says() -> None:
    for colour, shade in (("white", "light"), ("navy", "dark")):
        assert shade_of(order(line(colour=colour)).lines[0], shop()) == shade


def test_a_print_without_a_place_is_the_front() -> None:
    data = job_data()
    del data["lines"][0]["prints"][0]["place"]
    assert order(data).lines[0].prints[0].place == "front"


def ink(data: dict[str, Any]) -> tuple[Decimal, Decimal]:
    """White and colour ink of one piece, in millilitres."""
    uses = [step.uses for step in route_of(order(data).lines[0], shop())]
    return sum(each.white_ml for each in uses), sum(each.colour_ml for each in uses)  # type: ignore[return-value]


def test_ink_that_is_given_is_taken_as_given() -> None:
    assert ink(front(white_ml="4.1", colour_ml=0)) == (Decimal("4.1"), Decimal(0))


def test_ink_that_is_not_given_is_the_standard_of_the_print_s_area() -> None:
    white, colour = ink(job_data())
    assert white == 2 * colour
    assert round(colour, 4) == Decimal("0.9435")  # 11.718 ml/m² × 0.305 m × 0.330 m × 0.8


def test_a_small_coverage_takes_little_ink() -> None:
    assert ink(front(coverage="0.1"))[1] * 8 == ink(job_data())[1]


# What is wrong, is told


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (line(item="heavy tea"), 'lines[0].item: found "heavy tea", allowed an item of the shop file: heavy tee,'),
        (line(colour="nave"), 'lines[0].colour: found "nave", allowed a colour of "heavy tee": white,'),
        (line(sizes={"M": 0}), "lines[0].sizes.M: found 0, allowed a whole number from 1 to 5000"),
        (line(sizes={"M": -3}), "lines[0].sizes.M: found -3, allowed a whole number from 1 to 5000"),
        (line(sizes={"M": 2.5}), "lines[0].sizes.M: found 2.5, allowed a whole number from 1 to 5000"),
        (line(sizes={}), "lines[0].sizes: found {}"),
        (line(price_each="-1"), 'lines[0].price_each: found "-1", allowed a number from 0'),
        (line(price_each="NaN"), 'lines[0].price_each: found "NaN", allowed a number from 0'),
        (line(prints=[]), "lines[0].prints: found []"),
        (front(width_mm=0), "lines[0].prints[0].width_mm: found 0, allowed a number of millimetres"),
        (front(height_mm=1e9), "lines[0].prints[0].height_mm: found 1000000000.0, allowed a number of millimetres"),
        (front(coverage=1.5), "lines[0].prints[0].coverage: found 1.5, allowed a number, above 0, at most 1"),
        ({**job_data(), "due": "soon"}, 'due: found "soon", allowed a date'),
        ({**job_data(), "due": 5}, "due: found 5, allowed a date with a time"),
        ({**job_data(), "due": datetime(9999, 12, 31, 23)}, "due: found 9999-12-31T23:00:00, allowed a year from 2000"),  # noqa: DTZ001
        ({**job_data(), "lines": []}, "lines: found []"),
        ({**job_data(), "customer": ""}, 'customer: found "", allowed text'),
    ],
)
def test_a_wrong_value_is_told_with_its_place_and_what_is_allowed(data: dict[str, Any], what: str) -> None:
    [problem] = told(data)
    assert problem.startswith(what)


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (front(width_mm=3000), "lines[0].prints[0].width_mm: found 3000, allowed at most 600 mm on "),
        (front(height_mm=3001), "lines[0].prints[0].height_mm: found 3001, allowed a number of millimetres"),
        (line(currency="EUR"), "lines[0].currency: "),
        ({**job_data(), "currency": "EUR"}, "currency: "),
        (line(price_each="21.50 EUR"), 'lines[0].price_each: found "21.50 EUR", allowed a number from 0'),
        (line(price_each="-0.01"), 'lines[0].price_each: found "-0.01", allowed a number from 0'),
        (
            line(sizes={"XXL": 1}),
            'lines[0].sizes: found "XXL", allowed a size of "heavy tee": XS, S, M, L, XL, 2XL, 3XL.',
        ),
    ],
)
def test_what_no_quote_can_be_made_of_is_refused_by_name(data: dict[str, Any], what: str) -> None:
    [problem] = told(data)
    assert problem.startswith(what)


def test_a_price_with_a_sign_too_many_gets_the_one_without_it() -> None:
    assert told(line(price_each="-18.00"))[0].endswith("Write: price_each = 18")


def unpriced(its_shop: Shop) -> JobFile:
    data = line(sizes={"M": 24})
    del data["lines"][0]["price_each"]
    return parse_job(data, its_shop, file="club.toml")


def test_a_line_without_a_price_needs_a_shop_file_that_makes_one() -> None:
    with pytest.raises(ProblemsFound, match=r"lines\[0\].price_each: found nothing, allowed a price, or a margin"):
        unpriced(shop())
    with pytest.raises(ProblemsFound, match="price_each: found nothing"):
        unpriced(parse_shop(shop_data(breaks=[{"from_pieces": 1, "off": "0.05"}])))


def test_a_margin_or_a_price_for_the_item_makes_one() -> None:
    prices = {**shop_data()["prices"], "margin": "0.55"}
    listed = [{"from_pieces": 24, "item": "heavy tee", "price_each": "9.90"}]
    for tables in ({"prices": prices}, {"breaks": listed}):
        assert unpriced(parse_shop(shop_data(**tables))).lines[0].price_each is None


# Sizes


def without_sizes() -> Shop:
    """A shop whose heavy tee has dearer sizes, and lists none."""
    data = shop_data()
    del data["items"]["heavy tee"]["sizes"]
    return parse_shop(data)


def test_an_item_that_lists_no_sizes_takes_any() -> None:
    assert parse_job(line(sizes={"XXL": 1}), without_sizes()).lines[0].quantity == 1


@pytest.mark.parametrize("size", ["2xl", " 2XL", "3Xl"])
def test_a_size_that_is_nearly_one_with_a_cost_of_its_own_is_a_slip(size: str) -> None:
    with pytest.raises(ProblemsFound, match=r"lines\[0\].sizes: found .*Write: \"[23]XL\""):
        parse_job(line(sizes={size: 1}), without_sizes())


def test_sizes_that_may_be_wrong_are_named_with_the_cost_at_which_they_are_taken() -> None:
    its_shop = without_sizes()
    [note] = base_cost_notes(parse_job(line(sizes={"XXL": 1, "2XL": 1}), its_shop), its_shop)
    assert note == '"heavy tee" lists no sizes in the shop file: taken at its cost, 2.00, are "XXL".'


def test_where_sizes_are_listed_nothing_needs_to_be_said() -> None:
    assert not list(base_cost_notes(order(job_data()), shop()))


def test_a_name_with_a_slip_in_it_gets_the_nearest_right_one() -> None:
    assert told(line(item="heavy tea"))[0].endswith('Write: "heavy tee"')
    assert told(line(colour="nave"))[0].endswith('Write: "navy"')


def test_a_name_that_is_like_no_other_may_be_added_to_the_shop_file() -> None:
    assert told(line(item="umbrella"))[0].endswith("Use one of those, or add it to the shop file")


def test_a_key_with_a_slip_in_it_gets_the_nearest_right_one() -> None:
    assert told(line(colur="navy"))[0].endswith('Write: colour = "navy"')


def test_a_place_is_printed_once() -> None:
    data = job_data(places=("front", "back", "front"))
    assert told(data) == [
        "lines[0].prints: found front, back, front, allowed each place once. "
        "Give every print a place of its own: front, back, left sleeve …"
    ]


def test_as_many_pieces_as_a_job_may_have_are_taken() -> None:
    assert order(line(sizes={"M": 3000, "L": 2000})).lines[0].quantity == 5000


def test_more_pieces_than_anyone_orders_are_a_slip_of_the_pen() -> None:
    assert told(line(sizes={"M": 3000, "L": 2001})) == [
        "lines: found 5001 pieces, allowed at most 5000 in one job. Make several jobs of it"
    ]


def test_everything_that_is_wrong_is_told_at_once() -> None:
    data = job_data()
    data["lines"] = [line(item="heavy tea")["lines"][0], line(sizes={"M": -1})["lines"][0], front(hight=3)["lines"][0]]
    data["due"] = 5
    assert sorted(problem.split(": ")[0] for problem in told(data)) == [
        "due",
        "lines[0].item",
        "lines[1].sizes.M",
        "lines[2].prints[0].hight",
    ]


# Pictures


def test_a_picture_stands_beside_the_job_file(tmp_path: Path) -> None:
    path = tmp_path / "club.toml"
    path.write_text(JOB, encoding="utf-8")
    with pytest.raises(ProblemsFound) as refused:
        load_job(path, shop())
    [problem] = refused.value.problems
    assert problem.where == "club.toml: lines[0].prints[0].artwork"
    assert problem.found == '"oars.png", and no such file'
    assert str(tmp_path / "oars.png") in problem.do


def test_a_picture_that_is_there_is_let_through(tmp_path: Path) -> None:
    path = tmp_path / "club.toml"
    path.write_text(JOB, encoding="utf-8")
    (tmp_path / "oars.png").touch()
    assert load_job(path, shop()).lines[0].prints[0].artwork == "oars.png"


def test_a_folder_is_no_picture(tmp_path: Path) -> None:
    (tmp_path / "oars.png").mkdir()
    with pytest.raises(ProblemsFound, match="no such file"):
        parse_job(tomllib.loads(JOB), shop(), tmp_path)


def test_a_job_file_that_is_not_there_is_told_so(tmp_path: Path) -> None:
    with pytest.raises(ProblemsFound, match="no such file"):
        load_job(tmp_path / "none.toml", shop())


anything = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=8), st.datetimes()),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=8), inner, max_size=3)),
    max_leaves=6,
)


@given(st.sampled_from(["customer", "due", "lines", "item", "colour", "sizes", "price_each", "prints"]), anything)
def test_whatever_stands_in_a_job_file_is_read_or_refused_with_its_place(key: str, value: Any) -> None:
    data = line(**{key: value}) if key in job_data()["lines"][0] else {**job_data(), key: value}
    try:
        job = order(data)
    except ProblemsFound as refused:
        told = refused.problems
    else:
        assert route_of(job.lines[0], shop())
        assert job.due_in("Pacific/Kiritimati") > datetime(1999, 1, 1, tzinfo=UTC)
        return
    assert all(problem.where.startswith("club.toml") and problem.allowed and problem.do for problem in told)
