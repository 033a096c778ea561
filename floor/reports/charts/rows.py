"""Rows of a table whose cells are words, figures or pictures: every bar stands beside its figure.

Never cuts a name: a row grows with it.
"""

from collections.abc import Callable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tickets.kit.blocks import Block, paragraph, stack, together
from tickets.kit.box import MM, Box
from tickets.kit.fonts import LEADING, Weight
from tickets.kit.pen import LINE_MM, Align, Pen

TEXT, SMALL = 9.5, 8.0
"""Points."""
GAP = 2.5 * MM
PAD = 1.2 * MM
ROW = LEADING * TEXT + 2 * PAD
FINE_MM = 0.09

Picture = Callable[[Pen, Box], None]
"""Draws itself in the box of its cell."""


class Named(Struct, frozen=True):
    """A name, and what is said beneath it in small letters."""

    name: str
    notes: Sequence[str] = ()


Cell = str | Named | Picture


class Column(Struct, frozen=True):
    """A column, in points; those without a width share what the others leave."""

    heading: str | Picture = ""
    width: float = 0
    align: Align = "left"


def figures(heading: str, width_mm: float = 17) -> Column:
    """A column of figures."""
    return Column(heading, width_mm * MM, "right")


def rows(
    pen: Pen,
    columns: Sequence[Column],
    width: float,
    contents: Sequence[Sequence[Cell]],
    *,
    total: Sequence[Cell] | None = None,
    least: float = ROW,
) -> list[Block]:
    """The heads of the columns and a block for each row; the heads stand again above a row that begins a page.

    A total stays on the page of the last row.
    """
    table = _Table(pen, columns, width, least)
    found = [table.row(each) for each in contents]
    if total is not None:
        found[-1] = together([found[-1], table.row(total, "bold")])
    return [together([replace(table.heads, again=table.heads), found[0]]), *found[1:]]


class _Table:
    """A table that is drawn row by row, perhaps over several pages."""

    def __init__(self, pen: Pen, columns: Sequence[Column], width: float, least: float) -> None:
        self._pen = pen
        self._columns = columns
        self._width = width
        self._least = least
        self.heads = self._heads()

    def _heads(self) -> Block:
        """The heads of the columns, over a line."""
        lines = max(each.heading.count("\n") + 1 if isinstance(each.heading, str) else 1 for each in self._columns)

        def draw(box: Box) -> None:
            with self._pen.element("Table", self), self._pen.element("TR"):
                for column, cell in zip(self._columns, cells(box, self._columns), strict=True):
                    with self._pen.element("TH"):
                        _heading(self._pen, column, cell)
            self._pen.rule(box, LINE_MM)

        return Block(lines * LEADING * SMALL + 2 * PAD, draw)

    def row(self, row: Sequence[Cell], weight: Weight = "regular") -> Block:
        """A row, as high as the highest of its cells."""
        places = cells(Box(0, 0, self._width, 0), self._columns)
        height = max(
            _height(self._pen, content, column.align, weight, place.width)
            for content, column, place in zip(row, self._columns, places, strict=True)
        )

        def draw(box: Box) -> None:
            with self._pen.element("Table", self), self._pen.element("TR"):
                for column, content, cell in zip(self._columns, row, cells(box, self._columns), strict=True):
                    with self._pen.element("TD"):
                        _cell(self._pen, content, column.align, weight, cell)
            self._pen.rule(box, FINE_MM)

        return Block(max(self._least, height + 2 * PAD), draw, again=self.heads)


def _heading(pen: Pen, column: Column, box: Box) -> None:
    if callable(column.heading):
        column.heading(pen, box.cut_bottom(LEADING * SMALL + PAD)[0])
        return
    lines = column.heading.split("\n")
    room = box.cut_bottom(PAD)[1].cut_bottom(len(lines) * LEADING * SMALL)[0]
    for line, row in zip(lines, room.rows(len(lines)), strict=True):
        pen.words(row, line, "regular", size=SMALL, align=column.align)


def _cell(pen: Pen, content: Cell, align: Align, weight: Weight, box: Box) -> None:
    inner = box.inset(0, PAD)
    if isinstance(content, str) and align == "right":
        pen.words(inner.cut_top(LEADING * TEXT)[0], content, weight, size=TEXT, align=align)
    elif isinstance(content, str | Named):
        stack(inner, _wrapped(pen, content, weight, box.width))
    else:
        content(pen, box)


def _wrapped(pen: Pen, content: str | Named, weight: Weight, width: float) -> list[Block]:
    """Words in as many lines as they need."""
    if isinstance(content, str):
        return [paragraph(pen, content, width, TEXT, weight)]
    notes = [paragraph(pen, note, width, SMALL) for note in content.notes]
    return [paragraph(pen, content.name, width, TEXT, "bold"), *notes]


def _height(pen: Pen, content: Cell, align: Align, weight: Weight, width: float) -> float:
    if isinstance(content, str) and align == "right":
        return LEADING * TEXT
    if isinstance(content, str | Named):
        return sum(block.height for block in _wrapped(pen, content, weight, width))
    return 0


def cells(box: Box, columns: Sequence[Column]) -> list[Box]:
    """A row cut into its columns."""
    fixed = sum(column.width for column in columns) + GAP * (len(columns) - 1)
    share = (box.width - fixed) / max(1, sum(not column.width for column in columns))
    found = []
    for column in columns:
        cell, box = box.cut_left(column.width or share, GAP)
        found.append(cell)
    return found
