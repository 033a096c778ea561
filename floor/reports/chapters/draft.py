"""What every chapter of the report on paper needs: the pen, the report, and how a chapter begins.

Never knows what a chapter says.
"""

from collections.abc import Sequence
from decimal import Decimal

from msgspec import Struct
from msgspec.structs import replace

from floor import wording
from floor.reports.charts.bars import BAR
from floor.reports.charts.paint import Paint, fill
from floor.reports.charts.rows import ROW, SMALL, TEXT, Cell, Column, rows
from floor.reports.data import WeekReport
from shared.shop import Shop
from tickets.blocks import Block, paragraph, space, together
from tickets.box import MM, Box
from tickets.fonts import LEADING, plain
from tickets.pen import Pen

TITLE = 14.0
"""Points."""
ABOVE, BELOW = 7 * MM, 2 * MM
"""A title: what is left free above and below it."""


class Draft(Struct, frozen=True, kw_only=True):
    """A report that is being put on paper."""

    pen: Pen
    report: WeekReport
    shop: Shop
    width: float
    height: float

    def figure(self, amount: Decimal | str) -> str:
        """An amount where the currency is told elsewhere."""
        return wording.figure(amount, self.report.currency)

    def money(self, amount: Decimal | str) -> str:
        """An amount with its currency."""
        return wording.money(Decimal(amount), self.report.currency)

    def words(self, text: str, size: float = TEXT) -> Block:
        """A paragraph as wide as the page."""
        return paragraph(self.pen, text, self.width, size)

    def chapter(self, title: str, intro: Sequence[Block], parts: Sequence[Block]) -> list[Block]:
        """A title, what a reader must know first, and the parts, which tell whose they are where they begin a page."""
        first, *others = [replace(block, again=self._again(title, block)) for block in parts]
        return [together([space(ABOVE), self.title(title), *intro, space(BELOW), first]), *others]

    def table(
        self,
        columns: Sequence[Column],
        contents: Sequence[Sequence[Cell]],
        *,
        total: Sequence[Cell] | None = None,
        least: float = ROW,
    ) -> list[Block]:
        """Rows as wide as the page."""
        return rows(self.pen, columns, self.width, contents, total=total, least=least)

    def key(self, *paints: tuple[Paint, str]) -> Block:
        """What the paints of a chart mean."""

        def draw(box: Box) -> None:
            for (paint, word), cell in zip(paints, box.columns(max(4, len(paints))), strict=False):
                swatch, text = cell.cut_left(6 * MM, 2 * MM)
                fill(self.pen, swatch.middle(swatch.width, BAR), paint)
                with self.pen.element("P"):
                    self.pen.words(text, word, "regular", size=SMALL)

        return Block(LEADING * SMALL + 2 * BELOW, draw)

    def title(self, text: str, size: float = TITLE) -> Block:
        """A title, with a bookmark that leads to it."""
        shown = paragraph(self.pen, text, self.width, size, "bold", kind="H1")

        def draw(box: Box) -> None:
            self.pen.canvas.bookmarkPage(text, fit="XYZ", left=0, top=box.top)
            self.pen.canvas.addOutlineEntry(plain(text), text)
            shown.draw(box)

        return Block(shown.height, draw)

    def _again(self, title: str, block: Block) -> Block:
        head = [self.words(f"{title}, continued"), space(BELOW)]
        return together([*head, *([block.again] if block.again else [])])


def signed(amount: Decimal, shown: str) -> str:
    """A variance with its sign and its shape, as everywhere: "▲ +17.95" is adverse, "▼ -0.90" favourable."""
    if not amount:
        return shown
    return f"▲ +{shown}" if amount > 0 else f"▼ {shown}"
