"""A text is shrunk, then wrapped, then cut with an ellipsis; it never leaves its box."""

from hypothesis import given
from hypothesis import strategies as st

from tests.tickets.samples import LONG, SCRIPTS
from tickets.kit.fitting import ELLIPSIS, Fitted, fit
from tickets.kit.fonts import LEADING, ems, plain

names = st.text(max_size=80) | st.sampled_from(list(SCRIPTS.values())) | st.just(LONG)


def fitted(text: str, width: float = 100, height: float = 40, *, size: float = 20, lines: int = 2) -> Fitted:
    return fit(text, "bold", width, height, size, 6, lines)


def test_a_short_text_keeps_its_size() -> None:
    assert fitted("navy") == Fitted(("navy",), 20)


def test_a_longer_one_is_shrunk_a_little_before_it_is_broken() -> None:
    one = fitted("heather navy")
    assert len(one.lines) == 1
    assert 15 <= one.size < 20


def test_a_long_one_is_broken_between_words() -> None:
    assert fitted("heather forest green").lines == ("heather forest", "green")


def test_a_word_that_is_longer_than_a_line_is_broken_inside() -> None:
    broken = fitted("Donaudampfschifffahrt", width=50, lines=3)
    assert len(broken.lines) > 1
    assert "".join(broken.lines) == "Donaudampfschifffahrt"


def test_what_does_not_fit_at_the_least_size_is_cut_with_an_ellipsis() -> None:
    cut = fitted(LONG, lines=1)
    assert cut.size == 6
    assert cut.lines[0].endswith(ELLIPSIS)
    assert LONG.startswith(cut.lines[0].removesuffix(ELLIPSIS))


def test_an_accent_is_never_torn_from_its_letter() -> None:
    for width in range(10, 60):
        for line in fitted("x\u0302y\u0302" * 10, width=width).lines:
            assert not line.startswith("\u0302")


@given(names, st.floats(20, 300), st.floats(8, 80), st.integers(1, 4))
def test_no_text_leaves_its_box(text: str, width: float, height: float, lines: int) -> None:
    result = fitted(plain(text), width, height, lines=lines)
    assert len(result.lines) <= lines
    assert len(result.lines) * result.size * LEADING <= height + 1e-6
    assert max(ems(line, "bold") for line in result.lines) * result.size <= width + 1e-6


@given(names, st.floats(20, 300), st.floats(8, 80), st.integers(1, 4))
def test_no_letter_is_lost_without_an_ellipsis(text: str, width: float, height: float, lines: int) -> None:
    clean = plain(text)
    result = fitted(clean, width, height, lines=lines)
    shown = "".join(result.lines).replace(" ", "")
    whole = clean.replace(" ", "")
    assert shown == whole or (shown.endswith(ELLIPSIS) and whole.startswith(shown.removesuffix(ELLIPSIS)))


def test_a_single_letter_in_a_narrow_box_is_shrunk_until_it_is_inside() -> None:
    narrow = fitted("3", width=10, height=40, size=40, lines=1)
    assert narrow.lines == ("3",)
    assert ems("3", "bold") * narrow.size <= 10
