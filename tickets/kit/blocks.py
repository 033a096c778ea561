"""Blocks of a page: something as wide as the page and so high, one beneath the other, on as many pages as it takes.

Never draws outside the box that it is given.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import Optional

from msgspec import Struct

from tickets.kit.box import Box
from tickets.kit.fitting import ELLIPSIS, wrapped
from tickets.kit.fonts import LEADING, Weight, plain
from tickets.kit.pen import Align, Pen, TagKind

LINES_MOST = 15
"""Of a paragraph; one that is longer is cut, so that every block fits on a page."""


class Block(Struct, frozen=True):
    """Something as wide as the page, its height in points, and how it is drawn in a box of that height."""

    height: float
    draw: Callable[[Box], None]
    again: Optional["Block"] = None
    """What stands above it where it is the first on a page: the heads of its columns."""


def stack(room: Box, blocks: Sequence[Block]) -> None:
    """Draw blocks from the top of a room."""
    for block in blocks:
        box, room = room.cut_top(block.height)
        block.draw(box)


def pages(blocks: Sequence[Block], height: float) -> Iterator[list[Block]]:
    """Blocks, in their order, on pages of a height."""
    page, free = [blocks[0]], height - blocks[0].height
    for block in blocks[1:]:
        if block.height > free:
            yield page
            page = [block.again] if block.again else []
            free = height - sum(each.height for each in page)
        page.append(block)
        free -= block.height
    yield page


def together(blocks: Sequence[Block]) -> Block:
    """Blocks that stay on one page."""
    return Block(sum(block.height for block in blocks), lambda box: stack(box, blocks), blocks[0].again)


def space(height: float) -> Block:
    """Nothing, so high."""
    return Block(height, lambda _: None)


def paragraph(
    pen: Pen,
    text: str,
    width: float,
    size: float,
    weight: Weight = "regular",
    *,
    align: Align = "left",
    kind: TagKind = "P",
) -> Block:
    """A text at its size, in as many lines as it needs in a width."""
    lines = list(wrapped(plain(text), weight, width / size))
    if len(lines) > LINES_MOST:
        lines[LINES_MOST - 1 :] = [ELLIPSIS]

    def draw(box: Box) -> None:
        with pen.element(kind):
            for line, row in zip(lines, box.cut_left(width)[0].rows(len(lines)), strict=True):
                pen.words(row, line, weight, size=size, align=align)

    return Block(len(lines) * LEADING * size, draw)
