"""What was most likely meant."""

import ast
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.files.near import SURE, did_you_mean, nearest

ROOT = Path(__file__).parent.parent.parent.parent
STATIONS = ("pretreat booth", "printer 1", "press 1", "press 2")


@pytest.mark.parametrize(
    ("name", "meant"),
    [("pres 2", "press 2"), ("Press 1", "press 1"), (" press 1 ", "press 1"), ("pretreat", "pretreat booth")],
)
def test_a_slip_of_the_pen_gets_the_name_that_is_most_like_it(name: str, meant: str) -> None:
    assert nearest(name, STATIONS) == meant
    assert did_you_mean(name, STATIONS) == f' Did you mean "{meant}"?'


@pytest.mark.parametrize("known", [STATIONS, ()])
def test_what_is_like_nothing_gets_no_proposal(known: tuple[str, ...]) -> None:
    assert nearest("kiln", known) is None
    assert did_you_mean("kiln", known) == ""


def test_short_names_must_be_more_alike() -> None:
    assert nearest("USA", ["USD"]) == "USD"
    assert nearest("USA", ["USD"], SURE) is None


@given(st.text(max_size=20), st.lists(st.text(max_size=20), max_size=6))
def test_only_a_known_name_is_ever_proposed(name: str, known: list[str]) -> None:
    assert nearest(name, known) in {None, *known}
    if name in known and name.isascii():
        assert str(nearest(name, known)).strip().casefold() == name.strip().casefold()


def test_what_was_meant_is_sought_in_one_place() -> None:
    """A second place would propose something else for the same slip."""
    packages = ("shared", "tickets", "scanners", "floor", "demo_shop")
    files = [file for package in packages for file in (ROOT / package).rglob("*.py")]
    seeking = [
        file.name
        for file in files
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and node.module == "difflib"
    ]
    assert seeking == ["near.py"]
