"""Printed paper, read back: a PDF is turned into dots as a label printer would, and read by an independent reader.

Never asks the floor what should be on it.
"""

from pathlib import Path

import pypdfium2
import zxingcpp
from msgspec import Struct

DPI = 203
"""The coarsest printer that travellers are meant for."""
POINTS_PER_INCH = 72
SYMBOLS = zxingcpp.BarcodeFormats((zxingcpp.BarcodeFormat.Code128, zxingcpp.BarcodeFormat.QRCode))


class Page(Struct, frozen=True):
    """What a reader finds on one page: the codes in its bars, and those in its QR symbols."""

    bars: tuple[str, ...]
    squares: tuple[str, ...]


def read_back(pdf: Path) -> list[Page]:
    """What can be read on each page of a PDF."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [_read(page) for page in document]


def _read(page: pypdfium2.PdfPage) -> Page:
    image = page.render(scale=DPI / POINTS_PER_INCH, grayscale=True).to_pil()
    found = zxingcpp.read_barcodes(image, formats=SYMBOLS)
    return Page(
        bars=tuple(each.text for each in found if each.format == zxingcpp.BarcodeFormat.Code128),
        squares=tuple(each.text for each in found if each.format == zxingcpp.BarcodeFormat.QRCode),
    )
