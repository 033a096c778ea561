"""What tickets and cards are printed on: sizes of labels and sheets, and the dots of their printers.

Never guesses a paper from a locale: it is named.
"""

from msgspec import Struct
from msgspec.structs import replace

from tickets.kit.box import MM, Box


class Paper(Struct, frozen=True, kw_only=True):
    """A label or sheet, the cells on it, and the printer it goes through.

    Sizes are millimetres, width by height. `x_dots` is the width of a bar, X, in the printer's dots; a whole
    number, since a bar that falls between dots is printed too wide or too narrow. `mono` says that the printer
    knows black and white only.
    """

    name: str
    page_mm: tuple[float, float]
    dpi: float
    x_dots: int
    margin_mm: float
    """Kept free inside each cell: what printers can't reach, or cutters miss."""
    mono: bool = False
    columns: int = 1
    rows: int = 1
    cell_mm: tuple[float, float] | None = None
    """None: the cells share the page evenly, without gaps."""
    gap_mm: float = 0

    @property
    def page(self) -> tuple[float, float]:
        """The page in points."""
        return self.page_mm[0] * MM, self.page_mm[1] * MM

    @property
    def dot(self) -> float:
        """A dot of the printer, in points."""
        return 72 / self.dpi

    @property
    def x_mm(self) -> float:
        """The width X of the narrowest bar."""
        return self.x_dots * 25.4 / self.dpi

    def printed_at(self, printer_dpi: int | None) -> "Paper":
        """The same paper in a printer of so many dots an inch, X in whole dots of it; None is its usual printer."""
        return self if printer_dpi is None else replace(self, dpi=DOTS[printer_dpi], x_dots=X_DOTS[printer_dpi])

    @property
    def per_page(self) -> int:
        """How many go on a page."""
        return self.columns * self.rows

    def cells(self) -> list[Box]:
        """The cells of a page, row by row from the top left; as a block, in the middle of the page."""
        page = Box(0, 0, *self.page)
        if self.cell_mm is None:
            return [cell for row in page.rows(self.rows) for cell in row.columns(self.columns)]
        gap = self.gap_mm * MM
        width = self.columns * (self.cell_mm[0] * MM + gap) - gap
        height = self.rows * (self.cell_mm[1] * MM + gap) - gap
        rows = page.middle(width, height).rows(self.rows, gap)
        return [cell for row in rows for cell in row.columns(self.columns, gap)]


THERMAL_DPI = 203.2
"""Printers sold as "203 dpi" have eight dots to the millimetre."""
OFFICE_DPI = 600
DOTS = {203: THERMAL_DPI, 300: 300.0, 600: float(OFFICE_DPI)}
"""By what a printer is sold as: its dots an inch."""
X_DOTS = {203: 3, 300: 4, 600: 8}
"""By the same: the width of a bar in its dots, 0.375 mm on the coarsest, 0.339 mm on the others."""

A4_MM = (210.0, 297.0)
LETTER_MM = (215.9, 279.4)
CARD_MM = (85.6, 53.98)
"""ISO/IEC 7810 ID-1, the size of holders and pouches that are sold for badges."""


def _label(name: str, width_mm: float, height_mm: float) -> Paper:
    page_mm = (width_mm, height_mm)
    return Paper(name=name, page_mm=page_mm, dpi=THERMAL_DPI, x_dots=3, margin_mm=3, mono=True)


def _four(name: str, page_mm: tuple[float, float]) -> Paper:
    return Paper(name=name, page_mm=page_mm, dpi=OFFICE_DPI, x_dots=8, margin_mm=6, columns=2, rows=2)


def _cards(name: str, page_mm: tuple[float, float]) -> Paper:
    return Paper(
        name=name,
        page_mm=page_mm,
        dpi=OFFICE_DPI,
        x_dots=8,
        margin_mm=4,
        columns=2,
        rows=4,
        cell_mm=CARD_MM,
        gap_mm=8,
    )


PAPERS = {
    paper.name: paper
    for paper in (
        _label("label-100x150", 100, 150),
        _label("label-4x6", 101.6, 152.4),
        Paper(name="a6", page_mm=(105, 148), dpi=OFFICE_DPI, x_dots=8, margin_mm=5),
        _four("a4-4up", A4_MM),
        _four("letter-4up", LETTER_MM),
    )
}
"""What travellers are printed on, by name."""

SHEETS = {
    name: Paper(name=name, page_mm=page_mm, dpi=OFFICE_DPI, x_dots=8, margin_mm=18)
    for name, page_mm in (("a4", A4_MM), ("letter", LETTER_MM))
}
"""What whole pages for customers are printed on, by name."""

CARD_SHEETS = {sheet.name: sheet for sheet in (_cards("a4", A4_MM), _cards("letter", LETTER_MM))}
"""What cards are printed on, by name. Any paper for travellers will do as well: one large card a cell."""
