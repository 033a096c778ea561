"""Code 128 as the standard has it: check characters, widths, quiet zones, against published values.

Sources: ISO/IEC 15417 (Code 128), as explained, with these examples, in public introductions to the symbology;
GS1 General Specifications, release 18 (2018), section 5.4.4.2 (quiet zones of ten X); ISO/IEC 18004 (QR).
"""

from collections.abc import Sequence

import pytest
from barcode import Code128
from barcode.charsets import code128
from hypothesis import given
from hypothesis import strategies as st

from shared.codes import CodeType, make
from tickets.kit.barcode import QR_QUIET, QUIET_X, modules
from tickets.kit.paper import CARD_SHEETS, PAPERS, Paper

START_A, START_B, START_C = 103, 104, 105


def check_character(values: Sequence[int]) -> int:
    """The start's value and each later value times its place, modulo 103."""
    return sum(value * max(1, place) for place, value in enumerate(values)) % 103


PUBLISHED = {
    "HI345678, start A, then C": ([START_A, 40, 41, 99, 34, 56, 78], 67),
    "PJJ123C, start A": ([START_A, 48, 42, 42, 17, 18, 19, 35], 54),
    "ABCDEF, start A": ([START_A, *range(33, 39)], 42),
    "abcdef, start B": ([START_B, *range(65, 71)], 97),
    "345678, start C": ([START_C, 34, 56, 78], 73),
}


@pytest.mark.parametrize(("values", "check"), PUBLISHED.values(), ids=list(PUBLISHED))
def test_the_published_check_characters_come_out(values: list[int], check: int) -> None:
    assert check_character(values) == check


def characters(bars: str) -> list[int]:
    """The values of the symbol characters of a row of modules, eleven modules each, without the stop."""
    assert bars.endswith("1100011101011"), "the stop character has thirteen modules"
    values = {pattern: value for value, pattern in enumerate(code128.CODES)}
    return [values[bars[n : n + 11]] for n in range(0, len(bars) - 13, 11)]


@pytest.mark.parametrize(
    ("text", "check"),
    [("abcdef", 97), ("345678", 73), ("DTG-000123", 69)],
)
def test_the_library_that_makes_our_bars_puts_those_check_characters_in(text: str, check: int) -> None:
    """The third is computed by the rule, with the switch from set B to C before six digits."""
    *values, last = characters(Code128(text).build()[0])
    assert last == check == check_character(values)


codes = st.builds(make, st.sampled_from(CodeType), st.integers(0, 10**15 - 1))


@given(codes)
def test_our_codes_are_packed_two_digits_a_character(code: str) -> None:
    start, *pairs, check = characters(modules(code))
    assert start == START_C
    assert "".join(f"{pair:02d}" for pair in pairs) == code
    assert check == check_character([start, *pairs])


@given(codes)
def test_a_symbol_is_eleven_modules_a_character_and_thirty_five_more(code: str) -> None:
    assert len(modules(code)) == 11 * (len(code) // 2) + 35


def test_ten_digits_are_ninety_x_wide_and_a_hundred_and_ten_with_quiet_zones() -> None:
    width = len(modules(make(CodeType.PIECE, 1)))
    assert (width, width + 2 * QUIET_X) == (90, 110)


def test_quiet_zones_are_ten_x_and_four_modules() -> None:
    assert (QUIET_X, QR_QUIET) == (10, 4)


@pytest.mark.parametrize("paper", [*PAPERS.values(), *CARD_SHEETS.values()], ids=lambda paper: paper.name)
def test_x_is_a_whole_number_of_dots_and_no_less_than_three(paper: Paper) -> None:
    """Advice of label printer makers: one dot never, two readable, three at 203 dpi and four at 300 safe."""
    dots = paper.x_mm * paper.dpi / 25.4
    assert dots == pytest.approx(round(dots), abs=0.01)
    assert round(dots) >= 3
