"""Tables of figures for a terminal: where one is too wide it goes on below itself, so that no figure is ever cut.

Never knows what the figures mean.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Literal

from msgspec import Struct
from rich.cells import cell_len
from rich.console import Group, RenderableType
from rich.style import Style
from rich.table import Table
from rich.text import Text

from shared.harmless import harmless

BOLD = Style(bold=True)
GAP = 2
KEY_MIN = 16
"""The columns that the first one, which names the rows, may be shortened to."""


class TextColumn(Struct, frozen=True, kw_only=True):
    """A column: its heading, which may have several lines, and its cells."""

    heading: str
    cells: Sequence[Text]
    justify: Literal["left", "right"] = "right"

    @property
    def width(self) -> int:
        """The terminal columns that it needs to show everything in it."""
        return max(map(cell_len, [*self.heading.splitlines(), *(cell.plain for cell in self.cells), ""]))


def plain(text: str) -> Text:
    """A text from anywhere as a cell."""
    return Text(harmless(text), no_wrap=True, overflow="ellipsis")


def figures(heading: str, cells: Iterable[object]) -> TextColumn:
    """A column of figures, right-aligned."""
    return TextColumn(heading=heading, cells=[plain(str(cell)) for cell in cells])


def words(heading: str, cells: Iterable[str]) -> TextColumn:
    """A column of words."""
    return TextColumn(heading=heading, cells=[plain(cell) for cell in cells], justify="left")


def table(key: TextColumn, columns: Sequence[TextColumn], width: int, *, total: bool = False) -> RenderableType:
    """Rows named by the key. Columns that do not fit go on in a further table with the same key.

    The key may be shortened, nothing else is. `total` sets off the last row.
    """
    least = min(key.width, KEY_MIN)
    parts = list(_parts(columns, width - least))
    widest = max(sum(map(_needed, part)) for part in parts)
    key_width = min(key.width, max(width - widest, least))
    tables = (_one(key, key_width, part, total=total) for part in parts)
    return Group(*_spaced(tables))


def _needed(column: TextColumn) -> int:
    return GAP + column.width


def _spaced(tables: Iterable[RenderableType]) -> Iterator[RenderableType]:
    for n, each in enumerate(tables):
        if n:
            yield Text()
        yield each


def _parts(columns: Sequence[TextColumn], room: int) -> Iterator[list[TextColumn]]:
    """Columns side by side for as long as there is room."""
    part: list[TextColumn] = []
    used = 0
    for column in columns:
        if part and used + _needed(column) > room:
            yield part
            part, used = [], 0
        part.append(column)
        used += _needed(column)
    yield part


def _one(key: TextColumn, key_width: int, columns: Sequence[TextColumn], *, total: bool) -> Table:
    one = Table(box=None, padding=(0, GAP, 0, 0), pad_edge=False, header_style=BOLD)
    one.add_column(key.heading, width=key_width, no_wrap=True, overflow="ellipsis", vertical="bottom")
    for column in columns:
        one.add_column(column.heading, width=column.width, no_wrap=True, justify=column.justify)
    rows = list(zip(key.cells, *(column.cells for column in columns), strict=True))
    for n, row in enumerate(rows, start=1):
        one.add_row(*row, style=BOLD if total and n == len(rows) else None)
    return one
