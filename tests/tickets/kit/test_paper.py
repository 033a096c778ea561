"""Labels and sheets are as large as they are sold, and their bars whole dots of their printers."""

from itertools import combinations

import pytest

from tickets.kit.box import MM, Box
from tickets.kit.paper import CARD_SHEETS, PAPERS, Paper

everything = pytest.mark.parametrize("paper", [*PAPERS.values(), *CARD_SHEETS.values()], ids=lambda s: s.name)


def test_the_five_stocks_for_travellers_are_there() -> None:
    assert set(PAPERS) == {"label-100x150", "label-4x6", "a6", "a4-4up", "letter-4up"}


@everything
def test_x_is_wide_enough_for_the_printer_and_not_wider_than_it_must_be(paper: Paper) -> None:
    assert 0.33 <= paper.x_mm <= 0.38


@pytest.mark.parametrize(("name", "dpis"), [("label-100x150", [203]), ("a6", [600, 300]), ("a4-4up", [600, 300])])
def test_x_is_whole_dots_of_every_printer_that_the_stock_is_for(name: str, dpis: list[int]) -> None:
    for dpi in dpis:
        dots = PAPERS[name].x_mm * dpi / 25.4
        assert dots == pytest.approx(round(dots), abs=0.01)


@everything
@pytest.mark.parametrize("dpi", [203, 300, 600])
def test_in_any_printer_x_is_whole_dots_of_about_a_third_of_a_millimetre(paper: Paper, dpi: int) -> None:
    printed = paper.printed_at(dpi)
    assert printed.x_mm * printed.dpi / 25.4 == pytest.approx(printed.x_dots, abs=0.001)
    assert 0.33 <= printed.x_mm <= 0.38
    assert (printed.page, printed.cells()) == (paper.page, paper.cells())


def overlap(one: Box, other: Box) -> bool:
    """Whether two boxes share more than an edge."""
    across = min(one.right, other.right) - max(one.x, other.x)
    down = min(one.top, other.top) - max(one.y, other.y)
    return across > 1e-6 and down > 1e-6


@everything
def test_cells_lie_on_the_page_and_apart(paper: Paper) -> None:
    width, height = paper.page
    cells = paper.cells()
    assert len(cells) == paper.per_page
    for cell in cells:
        assert cell.x >= -1e-6
        assert cell.y >= -1e-6
        assert cell.right <= width + 1e-6
        assert cell.top <= height + 1e-6
    assert not any(overlap(one, other) for one, other in combinations(cells, 2))


def test_cells_are_filled_row_by_row_from_the_top_left() -> None:
    first, second, third, _ = PAPERS["a4-4up"].cells()
    assert (first.x, first.top) == pytest.approx((0, 297 * MM))
    assert second.x > first.x
    assert third.y < first.y


def test_a_quarter_of_a4_is_a6() -> None:
    cell, page = PAPERS["a4-4up"].cells()[0], PAPERS["a6"].page
    assert (cell.width, cell.height) == pytest.approx((105 * MM, 148.5 * MM))
    assert page == pytest.approx((105 * MM, 148 * MM))


@pytest.mark.parametrize("sheet", CARD_SHEETS.values(), ids=list(CARD_SHEETS))
def test_cards_fit_the_holders_that_are_sold_for_badges(sheet: Paper) -> None:
    assert {(round(cell.width / MM, 2), round(cell.height / MM, 2)) for cell in sheet.cells()} == {(85.6, 53.98)}
