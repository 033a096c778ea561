"""Text from outside, made harmless."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from shared.harmless import MARKS_MAX, STRANGE, harmless, shortened

FORMATS_AND_CONTROLS = {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"}
ANY = st.text(st.characters(exclude_categories=[]))
"""Any text at all, halves of surrogate pairs included."""


@given(ANY)
def test_nothing_that_drives_a_terminal_or_cannot_be_seen_is_left(text: str) -> None:
    assert not {unicodedata.category(char) for char in harmless(text)} & FORMATS_AND_CONTROLS


@given(ANY)
def test_what_was_made_harmless_is_harmless(text: str) -> None:
    assert harmless(harmless(text)) == harmless(text)


@given(ANY)
def test_it_can_be_written_as_utf_8(text: str) -> None:
    harmless(text).encode()


@given(st.text(st.characters(categories=["L", "N", "P", "Sm", "Sc"])))
def test_letters_figures_and_punctuation_of_every_script_are_kept(text: str) -> None:
    assert harmless(text) == text


@pytest.mark.parametrize(
    "name", ["नमस्ते", "שָׁלוֹם", "مطبعة النورس", "Tiếng Việt", "東京スタジオ", "한국어", "ภาษาไทย", "Ὀδυσσεύς"]
)
def test_a_name_in_any_script_stays_as_it_was_written(name: str) -> None:
    assert harmless(name) == name


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("\x1b[31mred\x1b[0m", f"{STRANGE}[31mred{STRANGE}[0m"),
        ("bell\x07", f"bell{STRANGE}"),
        ("\x9b2J", f"{STRANGE}2J"),
        ("two\r\nlines\tand\u2028more", "two lines and more"),
        ("  much \u00a0 \u3000 space ", "much space"),
        ("\u202eturned\u202c \u2066held\u2069", "turned held"),
        ("un\u200bseen\ufeff\u00ad", "unseen"),
        ("half \ud83d", f"half {STRANGE}"),
        ("\u2764\ufe0f", "\u2764"),
    ],
)
def test_what_would_do_harm_is_replaced_or_left_out(text: str, shown: str) -> None:
    assert harmless(text) == shown


def test_a_heap_of_marks_cannot_climb_over_the_lines_around_it() -> None:
    assert harmless("Z" + "\u0301" * 50 + "algo") == "Z" + "\u0301" * MARKS_MAX + "algo"


@given(ANY, st.integers(0, 60))
def test_a_shortened_text_never_takes_more_columns_than_it_may(text: str, cells: int) -> None:
    assert cell_len(harmless(text, cells)) <= cells


@given(ANY)
def test_a_text_that_fits_is_not_shortened(text: str) -> None:
    plain = harmless(text)
    assert shortened(plain, cell_len(plain)) == plain


@pytest.mark.parametrize(
    ("cells", "shown"), [(12, "東京スタジオ"), (11, "東京スタジ…"), (10, "東京スタ…"), (2, "…"), (1, "…"), (0, "")]
)
def test_a_wide_letter_is_never_cut_in_half(cells: int, shown: str) -> None:
    assert harmless("東京スタジオ", cells) == shown
