"""What bars show: as long as their figures, on the page as an independent reader finds it."""

from io import BytesIO

import pypdfium2
import pytest

from floor.core.times.cycle import Figures
from floor.reports.charts.bars import bar, change, quoted_and_actual, range_of
from floor.reports.charts.day import Hour, day
from floor.reports.charts.rows import Picture
from floor.reports.charts.scale import Scale, TimeScale
from tickets.kit.box import Box
from tickets.kit.pages import new_pen
from tickets.kit.paper import SHEETS

CELL = Box(100, 500, 200, 30)
SCALE = Scale(0, 100)
Fill = tuple[int, int]
"""From where to where, in the unit of the scale."""


def filled(picture: Picture) -> list[Fill]:
    """What is filled, from left to right, from the top row downwards; each by its left and right edge."""
    out = BytesIO()
    pen = new_pen(out, SHEETS["a4"], title="a", author="b")
    picture(pen, CELL)
    pen.canvas.showPage()
    pen.canvas.save()
    page = pypdfium2.PdfDocument(out.getvalue())[0]
    found = []
    for path in page.get_objects():
        left, bottom, right, top = path.get_bounds()
        if top - bottom > 3 and right - left > 3 and (round(left), round(right)) not in found:
            found.append((round(left), round(right)))
    return [(round((left - 100) / 2), round((right - 100) / 2)) for left, right in found]


def test_a_bar_is_as_long_as_its_figure() -> None:
    assert filled(bar(SCALE, 60))[0] == (0, 60)


def test_what_was_spent_beyond_the_quote_stands_apart_at_the_end() -> None:
    assert {(0, 60), (60, 80)} <= set(filled(quoted_and_actual(SCALE, 60, 80)))


def test_what_was_saved_fills_the_gap_to_the_quote() -> None:
    assert {(0, 80), (0, 60), (60, 80)} <= set(filled(quoted_and_actual(SCALE, 80, 60)))


@pytest.mark.parametrize(("before", "after"), [(80, 60), (60, 80)])
def test_a_change_leads_from_the_margin_before_to_the_one_after(before: int, after: int) -> None:
    assert filled(change(SCALE, before, after))[0] == (60, 80)


def test_the_middle_half_of_durations_is_a_box() -> None:
    times = Figures(n=9, median=10, mean=11, p90=50, derived=0, assumed=0, p10=2, p25=10, p75=100)
    assert (25, 50) in filled(range_of(TimeScale(1, 10_000), times))


def test_without_durations_there_is_no_box() -> None:
    nothing = Figures(n=0, median=None, mean=None, p90=None, derived=0, assumed=0)
    assert filled(range_of(TimeScale(1, 10_000), nothing)) == []


def test_an_hour_in_which_a_machine_was_busy_has_a_bar_at_its_place() -> None:
    assert filled(day([Hour(6, 0.9, 1), Hour(7, 0, 1)]))[0] == (25, 29)
