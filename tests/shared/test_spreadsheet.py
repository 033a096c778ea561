"""Text from outside in a spreadsheet: it is shown, and never calculated."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.spreadsheet import BEGINS_A_FORMULA, text_cell


@pytest.mark.parametrize("text", ["=1+2", "+1", "-1", "@SUM(A1)", "  =1", "＝1", "\t=1", "\r=1", "\n=1"])
def test_a_text_that_begins_like_a_formula_gets_an_apostrophe(text: str) -> None:
    assert text_cell(text).startswith("'")


@pytest.mark.parametrize("text", ["", "heavy tee", "colour = navy", "2XL", "Ünterhemd", "水", "a-b", "it's"])
def test_another_text_stays_as_it_is(text: str) -> None:
    assert text_cell(text) == text


def test_what_drives_a_terminal_is_replaced() -> None:
    assert text_cell("press\x1b[2J\x00") == "press\ufffd[2J\ufffd"


@given(st.text())
def test_no_text_begins_like_a_formula(text: str) -> None:
    assert not text_cell(text).lstrip().startswith(BEGINS_A_FORMULA)


@given(st.text())
def test_a_cell_has_one_line(text: str) -> None:
    assert len(text_cell(text).splitlines()) <= 1
