"""Colours of garments."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.files.colours import Rgb, named, rgb, written
from shared.files.problems import ProblemsFound
from shared.files.shop import parse_shop
from tests.making import shop, shop_data

levels = st.integers(0, 255)


@given(st.tuples(levels, levels, levels))
def test_a_colour_reads_as_it_was_written(colour: Rgb) -> None:
    assert rgb(written(colour)) == colour


@pytest.mark.parametrize("text", ["", "navy", "#12", "#1234567", "1b2340", "#1b234g", "#1b2340\n"])
def test_what_is_no_colour_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="#1b2340"):
        rgb(text)


@pytest.mark.parametrize("name", ["Navy", "bright navy", "navy heather", "  NAVY "])
def test_a_name_is_known_by_its_words(name: str) -> None:
    assert named(name, "dark") == named("navy", "dark")


def test_a_whole_name_goes_before_its_words() -> None:
    assert named("dark gray", "dark") != named("grey", "dark")


def test_a_name_that_says_nothing_is_black_if_dark_and_white_if_light() -> None:
    assert named("midnight plum", "dark") == named("black", "dark")
    assert named("sand", "light") == (255, 255, 255)


def test_an_item_may_say_what_its_colours_look_like() -> None:
    items = shop_data()["items"]
    items["heavy tee"]["colours"] = {"navy": "#1b2340"}
    said = parse_shop(shop_data(items=items)).item("heavy tee")
    assert said.looks("navy") == (0x1B, 0x23, 0x40)
    assert said.looks("black") == shop().item("heavy tee").looks("black")


@pytest.mark.parametrize(
    ("colours", "where"),
    [({"navy": "blue"}, 'items."heavy tee".colours.navy'), ({"nvy": "#1b2340"}, 'items."heavy tee".colours')],
)
def test_a_colour_that_is_none_or_that_the_item_lacks_is_refused(colours: dict[str, str], where: str) -> None:
    items = shop_data()["items"]
    items["heavy tee"]["colours"] = colours
    with pytest.raises(ProblemsFound) as refused:
        parse_shop(shop_data(items=items))
    (problem,) = refused.value.problems
    assert problem.where == f"shop.toml: {where}"
    assert "navy" in problem.do


@pytest.mark.parametrize(
    ("name", "like"),
    [("forest green", "forest"), ("navy blue", "navy"), ("heather dark grey", "dark grey"), ("green", "green")],
)
def test_the_first_word_that_is_known_narrows_the_others_down(name: str, like: str) -> None:
    assert named(name, "dark") == named(like, "dark")
