"""Every name can be printed: in its own script where a bundled font has it, visibly replaced where none has."""

import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.tickets.samples import SCRIPTS
from tickets.kit.fonts import FOLDER, REPLACEMENT, ems, plain, runs


def set_in(text: str) -> str:
    """The characters that are drawn, from left to right."""
    return "".join(part for _, part in runs(plain(text), "bold"))


@pytest.mark.parametrize("text", SCRIPTS.values(), ids=list(SCRIPTS))
def test_scripts_that_customers_write_in_are_covered(text: str) -> None:
    for weight in ("bold", "regular"):
        assert REPLACEMENT not in "".join(part for _, part in runs(plain(text), weight))


@pytest.mark.parametrize("text", ["สวัสดี", "\ue000", "\U0001f9ff", "\ud800", "\U000e0fff"])
def test_a_character_that_no_font_has_is_replaced_and_seen(text: str) -> None:
    assert REPLACEMENT in set_in(text)
    assert ems(plain(text), "bold") > 0.3


@pytest.mark.parametrize("text", ["a\x00b", "a\x1bb", "a\r\nb", "a\x7fb", "a\x85b", "a\u2028b", "a\tb", " a \u00a0 b "])
def test_control_characters_and_odd_spaces_are_shown_as_one_space(text: str) -> None:
    assert plain(text) == "a b"


@pytest.mark.parametrize("text", ["a\u202eb", "a\u200bb", "a\u00adb", "a\ufeffb", "a\u2066b", "a\ufe0fb"])
def test_invisible_characters_cannot_turn_or_hide_a_name(text: str) -> None:
    assert plain(text) == "ab"


def test_letters_and_their_accents_become_one() -> None:
    assert plain("Sa\u0308urebad") == "Säurebad"


def test_hebrew_is_drawn_from_right_to_left_with_its_brackets_turned_and_numbers_kept() -> None:
    assert set_in("נמל (2026)") == "(2026) למנ"


def test_arabic_letters_are_joined() -> None:
    drawn = set_in("مرحبا")
    assert len(drawn) == 5
    assert all("ARABIC LETTER" in unicodedata.name(char) and "FORM" in unicodedata.name(char) for char in drawn)


def test_a_mixed_name_is_set_in_several_fonts_and_measured_in_all() -> None:
    assert [font for font, _ in runs("Tシャツ", "bold")] == ["RobotoCondensed-Bold", "DroidSansFallback"]
    assert ems("Tシャツ", "bold") == pytest.approx(ems("T", "bold") + ems("シャツ", "bold"))


def test_code_points_that_stand_for_no_character_are_replaced_also_among_hebrew() -> None:
    assert set_in("\u0590א\u08e2") == "א" + REPLACEMENT


@given(st.text() | st.text("אب\u05901a()\u200f\u0301 \u0661\u064e"))
def test_whatever_is_drawn_can_be_seen_or_is_a_space(text: str) -> None:
    for char in set_in(text):
        assert unicodedata.category(char) not in {"Cc", "Cf", "Cs", "Zl", "Zp"}


def test_each_bundled_font_comes_with_its_licence() -> None:
    told = (FOLDER / "README.txt").read_text()
    for name in ("Roboto Condensed", "DejaVu Sans Condensed", "Droid Sans Fallback"):
        assert name in told
    for licence in ("LICENSE-Apache-2.0.txt", "LICENSE-DejaVu.txt"):
        assert licence in told
        assert (FOLDER / licence).stat().st_size > 4000


def test_only_the_letters_that_are_printed_are_put_into_a_file(tmp_path: Path) -> None:
    from tests.tickets.paper import printed
    from tests.tickets.samples import named
    from tickets.kit.paper import PAPERS

    assert len(printed([named(1, SCRIPTS["Japanese"])], PAPERS["a6"])) < 100_000
