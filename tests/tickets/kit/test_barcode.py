"""Symbols leave the printer as a reader needs them: whole dots, quiet zones, the right digits."""

from pathlib import Path

import numpy as np
import pytest

from shared.codes import CodeType, make
from tests.tickets.paper import BARS, INK, QR, Pixels, Symbol, first_page, pages, pixels, printed, symbols
from tests.tickets.samples import LIGHT, hard_tickets, ticket
from tickets.kit.paper import PAPERS, X_DOTS, Paper

PRINTED = [paper.printed_at(dpi) for paper in PAPERS.values() for dpi in X_DOTS]
"""Every paper in every printer."""
all_papers = pytest.mark.parametrize("paper", PRINTED, ids=lambda paper: f"{paper.name}-{paper.dpi:.0f}")


def one(paper: Paper, dpi: float, serial: int = 1) -> tuple[Pixels, Symbol, Symbol]:
    """A ticket as the printer gets it, with its two symbols."""
    page = first_page([ticket(serial)], paper)
    image = pixels(page, dpi)
    (bars,), (qr,) = symbols(image, BARS), symbols(image, QR)
    return image, bars, qr


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("paper", PAPERS.values(), ids=list(PAPERS))
def test_every_ticket_is_read_from_its_bars_and_from_its_qr(paper: Paper, dpi: float, picture: Path) -> None:
    tickets = hard_tickets(picture)
    from_bars, from_qr = [], []
    for page in pages(printed(tickets, paper)):
        image = pixels(page, dpi)
        from_bars += [symbol.text for symbol in symbols(image, BARS)]
        from_qr += [symbol.text for symbol in symbols(image, QR)]
    assert sorted(from_bars) == sorted(from_qr) == sorted(each.code for each in tickets)


def test_a_hundred_serials_far_apart_are_read() -> None:
    tickets = [ticket(n * 7_919_317 % 10**9, steps=LIGHT) for n in range(100)]
    found = [
        (symbols(pixels(page, 203), BARS)[0].text, symbols(pixels(page, 203), QR)[0].text)
        for page in pages(printed(tickets, PAPERS["label-100x150"]))
    ]
    assert found == [(each.code, each.code) for each in tickets]


def runs(row: Pixels) -> list[int]:
    """The lengths of the runs of ink and paper in a row of pixels."""
    ink = np.concatenate(([False], row < INK, [False])).astype(np.int8)
    return [int(length) for length in np.diff(np.flatnonzero(np.diff(ink)))]


@all_papers
def test_every_bar_and_space_is_a_whole_number_of_x_which_is_whole_dots(paper: Paper) -> None:
    image, bars, _ = one(paper, paper.dpi)
    row = image[(bars.top + bars.bottom) // 2, bars.left : bars.right + 1]
    lengths = runs(row)
    assert len(lengths) == 6 * 5 + 6 + 7 + 6, "start, five pairs, check: three bars and spaces each; stop: seven"
    assert {length % paper.x_dots for length in lengths} == {0}
    assert {length // paper.x_dots for length in lengths} == {1, 2, 3, 4}


def test_bars_and_modules_begin_and_end_between_two_dots() -> None:
    """The page of this label is whole dots, so the raster has no grey where ink covers whole dots alone."""
    paper = PAPERS["label-100x150"]
    image, bars, qr = one(paper, paper.dpi)
    for symbol in (bars, qr):
        inside = image[symbol.top : symbol.bottom + 1, symbol.left : symbol.right + 1]
        assert not ((inside > 2) & (inside < 253)).any()


@all_papers
def test_bars_are_as_wide_as_code_128_says(paper: Paper) -> None:
    _, bars, _ = one(paper, paper.dpi)
    assert bars.right + 1 - bars.left == 90 * paper.x_dots


@all_papers
def test_bars_are_high_enough_for_a_hand_held_scanner(paper: Paper) -> None:
    _, bars, _ = one(paper, paper.dpi)
    height_mm = (bars.bottom + 1 - bars.top) * 25.4 / paper.dpi
    width_mm = (bars.right + 1 - bars.left + 20 * paper.x_dots) * 25.4 / paper.dpi
    assert height_mm >= max(10, 0.15 * width_mm) - 0.01


@all_papers
def test_nothing_is_printed_in_a_quiet_zone(paper: Paper, picture: Path) -> None:
    for page in pages(printed(hard_tickets(picture)[:8], paper)):
        image = pixels(page, paper.dpi)
        for bars in symbols(image, BARS):
            assert beside(image, bars, 10 * paper.x_dots).min() >= INK
        for qr in symbols(image, QR):
            assert around(image, qr, 4 * 2 * paper.x_dots).min() >= INK


@all_papers
def test_the_left_quiet_zone_keeps_a_millimetre_from_the_edge_of_the_paper(paper: Paper) -> None:
    _, bars, _ = one(paper, paper.dpi)
    assert (bars.left - 10 * paper.x_dots) * 25.4 / paper.dpi >= 1 - 25.4 / paper.dpi


def beside(image: Pixels, symbol: Symbol, width: int) -> Pixels:
    """So many pixels to the left and to the right of a symbol, over its whole height."""
    assert symbol.left >= width
    high = slice(symbol.top, symbol.bottom + 1)
    left, right = slice(symbol.left - width, symbol.left), slice(symbol.right + 1, symbol.right + 1 + width)
    return np.concatenate((image[high, left], image[high, right]))


def around(image: Pixels, symbol: Symbol, width: int) -> Pixels:
    """A frame of so many pixels around a symbol, with the symbol itself blanked out."""
    down = slice(symbol.top - width, symbol.bottom + 1 + width)
    across = slice(symbol.left - width, symbol.right + 1 + width)
    frame = image[down, across].copy()
    frame[width:-width, width:-width] = 255
    return frame


def test_a_module_of_the_qr_is_twice_x_so_that_a_phone_reads_it_too() -> None:
    paper = PAPERS["label-100x150"]
    _, _, qr = one(paper, paper.dpi)
    assert qr.right + 1 - qr.left == 21 * 2 * paper.x_dots


def test_digits_stand_beneath_in_groups_that_can_be_keyed_in() -> None:
    page = first_page([ticket(1)], PAPERS["a6"])
    assert "1000 0001 61" in page.get_textpage().get_text_range()


def test_where_a_qr_has_no_room_the_bars_stand_alone() -> None:
    narrow = Paper(name="narrow", page_mm=(62, 140), dpi=203.2, x_dots=3, margin_mm=4, mono=True)
    piece = ticket(10**14, code=make(CodeType.PIECE, 10**14))
    image = pixels(first_page([piece], narrow), 203.2)
    assert [symbol.text for symbol in symbols(image, BARS)] == [piece.code]
    assert symbols(image, QR) == []
