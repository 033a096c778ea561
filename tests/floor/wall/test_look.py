"""How the wall looks."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.color import Color

from floor.wall.look import BLACK, GREY, TONES, chosen, gauge, tone
from floor.wall.signs import LATE


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.1 defines it."""
    channels = [channel / 255 for channel in Color.parse(colour).get_truecolor()]
    linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("colour", [*TONES.values(), GREY])
def test_every_colour_stands_out_from_the_ground(colour: str) -> None:
    """A contrast of 7:1 is what WCAG 2.1 asks for in its success criterion 1.4.6 (level AAA)."""
    assert (luminance(colour) + 0.05) / (luminance(BLACK) + 0.05) >= 7


def test_what_fits_is_shown_in_its_order() -> None:
    assert chosen([3, 1, 2], 3, rank=lambda n: n) == ([3, 1, 2], [])


def test_what_does_not_fit_leaves_a_row_to_count_it() -> None:
    assert chosen([3, 1, 2, 1], 3, rank=lambda n: n) == ([1, 1], [3, 2])


@given(st.lists(st.integers()), st.integers(0, 20))
def test_nothing_is_lost_between_shown_and_left_out(lines: list[int], room: int) -> None:
    shown, left_out = chosen(lines, room, rank=lambda n: n)
    assert sorted(shown + left_out) == sorted(lines)
    assert len(shown) + bool(left_out) <= max(room, 1)
    assert not (shown and left_out) or max(shown) <= min(left_out)


@pytest.mark.parametrize(("share", "bar"), [(0, "▁▁▁▁"), (0.01, "▆▁▁▁"), (0.5, "▆▆▁▁"), (1, "▆▆▆▆"), (7, "▆▆▆▆")])
def test_a_gauge_shows_something_as_soon_as_there_is_something_and_is_full_at_one(share: float, bar: str) -> None:
    assert gauge(share, 4, tone(LATE)).plain == bar
