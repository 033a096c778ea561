"""A code as bars (Code 128, ISO/IEC 15417) and as a QR (ISO/IEC 18004), drawn as vectors on the printer's dots.

Never rasterises, and never lets a bar fall between two dots: that is what makes bars unreadable.
"""

import re
from collections.abc import Iterable, Iterator

import segno
from barcode import Code128
from msgspec import Struct

from shared.codes import grouped
from tickets.kit.box import MM, Box
from tickets.kit.pen import Pen

QUIET_X = 10
"""Free of ink on each side of the bars, in widths X of the narrowest bar (ISO/IEC 15417)."""
QR_QUIET = 4
"""Free of ink on every side of a QR, in its modules (ISO/IEC 18004)."""
QR_MASK = 0
"""Readers take any of the eight; to find the best for each ticket takes half as long as the ticket itself."""
QR_MODULE_X = 2
"""A module of the QR in X: two-dimensional symbols want at least one and a half times the X of bars."""
BARS_HEIGHT_MM = 10.0
BARS_HEIGHT_SHARE = 0.15
"""For scanning by hand: the height is at least this share of the width with its quiet zones. Common practice."""
DIGITS_MM = 4.4
EDGE_MM = 1.0
"""The quiet zone keeps so far from the edge of the paper."""


class Symbols(Struct, frozen=True):
    """Where the symbols of a code were drawn, quiet zones included; no QR where it would not fit."""

    bars: Box
    qr: Box | None


def modules(text: str) -> str:
    """The bars of a code without quiet zones, module by module: "1" is ink."""
    return str(Code128(text).build()[0])


def qr_side(pen: Pen) -> float:
    """The side of the QR of a code with its quiet zone, in points: version 1, 21 modules, holds them all."""
    return (21 + 2 * QR_QUIET) * QR_MODULE_X * pen.paper.x_dots * pen.dot


def symbols(pen: Pen, text: str, box: Box) -> Symbols:
    """A code at the left of a box: bars with their digits beneath, and the QR to the right of them.

    The left quiet zone hangs over into the margin of the paper, so that the first bar is in line with the text where
    there is room for that: labels slip in their printers, and what is cut off is missing at the reader's first look.
    """
    x, side, digits = pen.paper.x_dots * pen.dot, qr_side(pen), DIGITS_MM * MM
    width = (len(modules(text)) + 2 * QUIET_X) * x
    as_the_qr = side - 2 * QR_QUIET * QR_MODULE_X * x - digits
    height = pen.whole_up(max(as_the_qr, BARS_HEIGHT_MM * MM, BARS_HEIGHT_SHARE * width))
    left = pen.across(box.x - min((pen.paper.margin_mm - EDGE_MM) * MM, QUIET_X * x))
    both = box.middle(box.width, height + digits)
    at = Box(left, pen.down(both.top) - height, width, height)
    bars(pen, text, at)
    pen.words(Box(at.x, at.y - digits, width, digits), grouped(text), size=12, align="middle")
    square = Box(pen.across(at.right), pen.down(box.y + (box.height + side) / 2) - side, side, side)
    if square.right > box.right or side > box.height + pen.dot:
        return Symbols(at, None)
    qr(pen, text, square)
    return Symbols(at, square)


def bars(pen: Pen, text: str, at: Box) -> None:
    """The bars of a code in a box whose left edge lies between two dots and is that of the left quiet zone."""
    x = pen.paper.x_dots * pen.dot
    runs = [(QUIET_X + place, 0, length) for place, length in _inked(modules(text).encode())]
    _fill(pen, runs, Box(at.x, at.y, x, at.height))


def qr(pen: Pen, text: str, at: Box) -> None:
    """The QR of a code in a square whose upper left corner lies between dots and is that of the quiet zone."""
    module = QR_MODULE_X * pen.paper.x_dots * pen.dot
    rows = reversed(segno.make_qr(text, version=1, error="m", mask=QR_MASK).matrix)
    runs = [(QR_QUIET + place, QR_QUIET + up, length) for up, row in enumerate(rows) for place, length in _inked(row)]
    _fill(pen, runs, Box(at.x, at.y, module, module))


_INK = re.compile(b"[1\x01]+")


def _inked(modules: bytes | bytearray) -> Iterator[tuple[int, int]]:
    """Where each run of ink begins in a row of modules, and how many it has."""
    for run in _INK.finditer(modules):
        yield run.start(), run.end() - run.start()


def _fill(pen: Pen, runs: Iterable[tuple[int, int, int]], module: Box) -> None:
    """Runs of ink, each by its column, row and length in modules; `module` is the one at the lower left.

    The numbers are written as they are, whole, on a grid that the PDF scales: reportlab would need ten times as
    long to format them.
    """
    grid = f"{module.width:.6f} 0 0 {module.height:.6f} {module.x:.6f} {module.y:.6f} cm"
    boxes = "\n".join(f"{column} {row} {length} 1 re" for column, row, length in runs)
    pen.canvas.addLiteral(f"q {grid} 0 g\n{boxes}\nf Q")
