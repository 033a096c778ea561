"""What comes out of a printer, for the tests: pages as pixels, as words, and as an independent reader reads them.

Rasters are made by PDFium, symbols read by ZXing: neither has seen a line of ours.
"""

from collections.abc import Sequence
from io import BytesIO
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pypdfium2
import zxingcpp

from shared.words import ENGLISH, Words
from tickets.kit.box import Box
from tickets.kit.paper import Paper
from tickets.traveller import Ticket, travellers

Pixels = npt.NDArray[np.uint8]


def printed(tickets: Sequence[Ticket], paper: Paper, its_words: Words = ENGLISH) -> bytes:
    """The PDF of some travellers."""
    out = BytesIO()
    travellers(tickets, paper, out, its_words)
    return out.getvalue()


def pages(pdf: bytes) -> list[Any]:
    """The pages of a PDF; each keeps its document open as long as it lives."""
    return list(pypdfium2.PdfDocument(pdf))


def first_page(tickets: Sequence[Ticket], paper: Paper) -> Any:
    """The first page of some travellers."""
    return pages(printed(tickets, paper))[0]


def pixels(page: Any, dpi: float) -> Pixels:
    """A page in grey, 0 is ink, as a printer with so many dots an inch would get it.

    PDFium stretches a page to whole pixels, upwards: the scale is a hair less, so that 800.0000001 stays 800.
    """
    picture = page.render(scale=dpi / 72 * (1 - 1e-6)).to_pil().convert("L")
    return np.asarray(picture)


INK = 128
"""Darker than that, a printer that knows no grey prints a dot."""
BARS = zxingcpp.BarcodeFormat.Code128
QR = zxingcpp.BarcodeFormat.QRCode


class Symbol(NamedTuple):
    """A symbol that was found: what it says, and its first and last columns and rows of ink, in pixels."""

    text: str
    left: int
    right: int
    top: int
    bottom: int


def symbols(image: Pixels, kind: zxingcpp.BarcodeFormat) -> list[Symbol]:
    """The symbols of one kind on a page."""
    found = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormats(kind))
    return [_symbol(image, each) for each in found]


def _symbol(image: Pixels, found: Any) -> Symbol:
    """The reader says to a pixel or two where a symbol is; its ink says it exactly."""
    place = found.position
    corners = [place.top_left, place.top_right, place.bottom_left, place.bottom_right]
    left, right = min(corner.x for corner in corners), max(corner.x for corner in corners)
    top, bottom = min(corner.y for corner in corners), max(corner.y for corner in corners)
    if found.format == BARS:
        middle = (top + bottom) // 2
        across = np.flatnonzero(image[middle, left - 3 : right + 4] < INK)
        left, right = left - 3 + int(across[0]), left - 3 + int(across[-1])
        paper = np.flatnonzero(image[:, left] >= INK)
        top, bottom = int(paper[paper < middle][-1]) + 1, int(paper[paper > middle][0]) - 1
        return Symbol(found.text, left, right, top, bottom)
    down, across = np.nonzero(image[top - 3 : bottom + 4, left - 3 : right + 4] < INK)
    left, right = left - 3 + int(across.min()), left - 3 + int(across.max())
    top, bottom = top - 3 + int(down.min()), top - 3 + int(down.max())
    return Symbol(found.text, left, right, top, bottom)


def words(page: Any) -> list[tuple[str, Box]]:
    """Every run of text on a page with the box that its ink fills."""
    text = page.get_textpage()
    found = []
    for thing in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT]):
        left, bottom, right, top = thing.get_bounds()
        found.append((text.get_text_bounded(left, bottom, right, top), Box(left, bottom, right - left, top - bottom)))
    return found


def text_of(pdf: bytes) -> str:
    """All text of a PDF, lines as they stand."""
    return "\n".join(page.get_textpage().get_text_range() for page in pages(pdf))
