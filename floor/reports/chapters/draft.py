"""What every chapter of the report on paper needs: the pen, the report, its language, and how a chapter begins.

Never knows what a chapter says.
"""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from babel.numbers import format_decimal
from msgspec import Struct
from msgspec.structs import replace

from floor.core.figures.data import WeekReport
from floor.reports.charts.bars import BAR
from floor.reports.charts.paint import Paint, fill
from floor.reports.charts.rows import ROW, SMALL, TEXT, Cell, Column, rows
from shared import wording
from shared.files.shop import Shop
from tickets.kit.blocks import Block, paragraph, space, together
from tickets.kit.box import MM, Box
from tickets.kit.fonts import LEADING, plain
from tickets.kit.pen import Pen

TITLE = 14.0
"""Points."""
ABOVE, BELOW = 7 * MM, 2 * MM
"""A title: what is left free above and below it."""
CLOCK_UNITS = (wording.HOUR_S, "h"), (wording.MINUTE_S, "min"), (1, "s")


class Draft(Struct, frozen=True, kw_only=True):
    """A report that is being put on paper."""

    pen: Pen
    report: WeekReport
    shop: Shop
    width: float
    height: float

    @property
    def locale(self) -> str:
        """How figures and moments are written."""
        return self.shop.words.language

    def say(self, text: str, **values: object) -> str:
        """A text of ours in the shop's language; what is handed to be drawn is in it already."""
        return self.shop.words.say(text, **values)

    def figure(self, amount: Decimal | str) -> str:
        """An amount where the currency is told elsewhere."""
        return wording.figure(amount, self.report.currency, self.locale)

    def money(self, amount: Decimal | str) -> str:
        """An amount with its currency."""
        return wording.money(Decimal(amount), self.report.currency, self.locale)

    def count(self, number: int) -> str:
        """So many: "1,204"."""
        return wording.quantity(number, 0, self.locale)

    def quantity(self, amount: Decimal | float) -> str:
        """A quantity: "1,204.5"."""
        return wording.quantity(amount, locale=self.locale)

    def percent(self, share: float | None) -> str:
        """A share of one: "94.2 %"."""
        return wording.percent(share, self.locale)

    def day(self, at: datetime) -> str:
        """A day by the shop's clock: "Mon 23 Nov 2026"."""
        return wording.day(at, self.shop.hours.zone, self.locale)

    def day_and_time(self, at: datetime) -> str:
        """A moment by the shop's clock: "Wed 25 Nov 14:05"."""
        return wording.day_and_time(at, self.shop.hours.zone, self.locale)

    def mark(self, figure: float) -> str:
        """A round figure of an axis: "1,000", "0.5"."""
        return format_decimal(Decimal(f"{figure:.10g}"), "#,##0.##########", locale=self.locale)

    def mark_of_time(self, seconds: float) -> str:
        """A round duration of an axis: "10 min", "3 days"."""
        if seconds >= wording.DAY_S:
            return self.say("{count} days", count=f"{seconds / wording.DAY_S:.0f}")
        unit_s, unit = next(each for each in CLOCK_UNITS if seconds >= each[0])
        return f"{seconds / unit_s:.0f} {unit}"

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
        head = [self.words(self.say("{title}, continued", title=title)), space(BELOW)]
        return together([*head, *([block.again] if block.again else [])])


def signed(amount: Decimal, shown: str) -> str:
    """A variance with its sign and its shape, as everywhere: "▲ +17.95" is adverse, "▼ -0.90" favourable."""
    if not amount:
        return shown
    return f"▲ +{shown}" if amount > 0 else f"▼ {shown}"
