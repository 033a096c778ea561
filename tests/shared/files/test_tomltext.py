"""Values and key paths as they would stand in a file."""

import tomllib
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.files.tomltext import SHOWN_MAX, one_line, shown_key, shown_path, shown_text, shown_value

short_text = st.text(st.characters(exclude_categories=["Cs"]), max_size=SHOWN_MAX)


@given(short_text)
def test_short_text_reads_back_as_it_was(text: str) -> None:
    assert tomllib.loads(f"a = {shown_text(text)}") == {"a": text}


@given(short_text.filter(bool))
def test_a_key_reads_back_as_it_was(key: str) -> None:
    assert tomllib.loads(f"{shown_key(key)} = 1") == {key: 1}


@given(st.text())
def test_one_line_is_printable_and_leaves_printable_text_alone(text: str) -> None:
    assert one_line(text).isprintable()
    assert one_line(text) == text or not text.isprintable()


def test_a_path_is_written_as_the_file_has_it() -> None:
    assert shown_path(["lines", 2, "prints", 1, "width_mm"]) == "lines[2].prints[1].width_mm"
    assert shown_path(["items", "heavy tee", "cost"]) == 'items."heavy tee".cost'


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (True, "true"),
        (2.5, "2.5"),
        (date(2026, 12, 25), "2026-12-25"),
        (None, "None"),
        ([], "[]"),
        ({}, "{}"),
        ([1, [2, 3], {"a": 1}, {}], "[1, […], { … }, {}]"),
        (list(range(9)), "[0, 1, 2, 3, …]"),
        ({"a b": "x", "c": []}, '{ "a b" = "x", c = [] }'),
        (1 << 300, "a very large number"),
    ],
)
def test_a_value_is_shown_in_outline(value: Any, shown: str) -> None:
    assert shown_value(value) == shown


def test_long_text_is_cut() -> None:
    assert shown_text("x" * 1000) == f'"{"x" * (SHOWN_MAX - 1)}…"'
