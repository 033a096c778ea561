"""What bars are filled with can be told apart by anyone, on any printer."""

from itertools import combinations

import pytest

from floor.reports.charts.paint import ADVERSE, FAVOURABLE, PLANNED, SPENT, Paint

TOLD_APART = 0.35
"""Of the whole way from black to white."""


def lightness(paint: Paint) -> float:
    """Relative luminance as in WCAG 2, of colours as a printer without colours turns them into grey."""
    channels = [int(paint.colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    red, green, blue = (each / 12.92 if each <= 0.04045 else ((each + 0.055) / 1.055) ** 2.4 for each in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize(("one", "other"), list(combinations([PLANNED, SPENT, ADVERSE, FAVOURABLE], 2)))
def test_two_paints_differ_without_their_colours(one: Paint, other: Paint) -> None:
    assert one.hatch != other.hatch or abs(lightness(one) - lightness(other)) > TOLD_APART
