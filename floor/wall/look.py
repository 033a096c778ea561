"""How the wall looks in a terminal: its colours, and the few shapes that every part of it is put together from.

Never knows what it shows.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, TypeVar

from rich.cells import cell_len
from rich.style import Style
from rich.table import Table
from rich.text import Text

from floor.wall.signs import Sign, Tone
from shared.harmless import harmless

BLACK = "#000000"
GREY = "#B8B8B8"
TONES: Mapping[Tone, str] = {"urgent": "#F07020", "soon": "#F0E442", "fine": "#56B4E9", "calm": GREY}
"""The palette of Okabe and Ito, which colour-blind eyes tell apart; its vermilion a shade lighter, so that each colour
stands at 7:1 or more against black (WCAG 2.1, 1.4.6), and black on each colour too."""

NEEDS_HANDS = frozenset({"urgent", "soon"})

BASE = Style.parse(f"#FFFFFF on {BLACK}")
PLAIN = Style()
BOLD = Style(bold=True)
LABEL = Style.parse(GREY)

Line = TypeVar("Line")


def tone(sign: Sign, *, bold: bool = True) -> Style:
    """The colour of a sign."""
    return Style(color=TONES[sign.tone], bold=bold)


def chip(sign: Sign, cells: int, alike: int = 1) -> Text:
    """A sign that must be seen first, in so many columns; with how many are alike, where there are several.

    It stands on a ground of its own colour, which stays a block where there are no colours.
    """
    text = f"{sign} ×{alike}" if alike > 1 else str(sign)
    return Text(f" {harmless(text, max(cells - 2, 0))} ", tone(sign) + Style(reverse=True), no_wrap=True)


def state(sign: Sign) -> Text:
    """A sign among other figures; on a ground of its own colour where hands are needed."""
    return said(str(sign), tone(sign) + Style(reverse=sign.tone in NEEDS_HANDS))


def said(text: str, style: Style = PLAIN) -> Text:
    """A text from anywhere, harmless, on one line; never wider than what it is put in."""
    return Text(harmless(text), style, no_wrap=True, overflow="ellipsis")


def label(text: str) -> Text:
    """A word that names figures."""
    return said(text, LABEL)


def heading(width: int, labels: Iterable[tuple[int, str]]) -> Text:
    """A line across with words in it, each at its column; a word is cut before the next one begins."""
    line = Text(no_wrap=True, overflow="crop", style=LABEL)
    starts = sorted(labels)
    ends = [column for column, _ in starts[1:]] + [width]
    for (column, word), end in zip(starts, ends, strict=True):
        line.append(_filled(column - cell_len(line.plain), " "))
        line.append(harmless(word, max(end - column - 1, 0)), BASE + BOLD)
    return line.append(_filled(width - cell_len(line.plain), "─"))


def _filled(columns: int, last: str) -> str:
    return f" {'─' * (columns - 2)}{last}" if columns > 1 else " " * columns


def grid(widths: Sequence[int], rows: Iterable[Sequence[Text]]) -> Table:
    """Rows in columns of fixed widths, one column apart, so that nothing moves when a figure grows."""
    table = Table.grid(padding=(0, 1, 0, 0))
    for width in widths:
        table.add_column(width=max(width, 1), no_wrap=True, overflow="ellipsis")
    for row in rows:
        table.add_row(*row)
    return table


def right(text: Text) -> Text:
    """A text that stands at the right edge of its column."""
    text.justify = "right"
    return text


def gauge(share: float, cells: int, style: Style) -> Text:
    """A bar that is full at 1, and shows something as soon as there is something."""
    full = min(int(share * cells + 0.5), cells) or int(share > 0)
    return Text("▆" * full, style).append("▁" * (cells - full), LABEL)


def chosen(lines: Sequence[Line], room: int, rank: Callable[[Line], Any]) -> tuple[list[Line], list[Line]]:
    """What is shown in so many rows, in its own order, and what is left out; one row is kept to count those.

    The smallest ranks are shown, among equals the first.
    """
    if len(lines) <= room:
        return list(lines), []
    by_rank = sorted(range(len(lines)), key=lambda n: (rank(lines[n]), n))
    keep = set(by_rank[: max(room - 1, 0)])
    return [lines[n] for n in sorted(keep)], [line for n, line in enumerate(lines) if n not in keep]


def more(left_out: int, what: str, urgent: int = 0, word: str = "") -> Text:
    """The row that counts what is not shown: "+3 more wet, 1 too long"."""
    said_urgent = f", {urgent} {word}" if urgent else ""
    return said(f"+{left_out} more {what}{said_urgent}", BOLD)
