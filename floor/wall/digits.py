"""Large figures for a terminal, drawn from half blocks.

Never draws anything but figures, a colon and a plus.
"""

from math import ceil

_HEIGHT = 5
_GAP = 1
_GLYPHS = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": (" # ", "## ", " # ", " # ", "###"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", " ##", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", " # ", " # "),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
    ":": (" ", "#", " ", "#", " "),
    "+": ("   ", " # ", "###", " # ", "   "),
}
_HALVES = {(" ", " "): " ", ("#", " "): "▀", (" ", "#"): "▄", ("#", "#"): "█"}


def rows_of(scale: int) -> int:
    """How many rows figures of a scale take; scale 0 is plain text, of one row."""
    return ceil(_HEIGHT * scale / 2) or 1


def columns_of(text: str, scale: int) -> int:
    """How many columns a text takes at a scale."""
    if scale == 0:
        return len(text)
    return scale * (sum(len(_GLYPHS[char][0]) + _GAP for char in text) - _GAP)


def large(text: str, scale: int) -> list[str]:
    """A text of figures, colons and pluses as rows of blocks, `scale` columns to a dot; a dot is about square."""
    if scale == 0:
        return [text]
    dots = [_dots(text, row, scale) for row in range(_HEIGHT) for _ in range(scale)]
    if len(dots) % 2:
        dots.append(" " * len(dots[0]))
    return ["".join(map(_half, upper, lower)) for upper, lower in zip(dots[::2], dots[1::2], strict=True)]


def _dots(text: str, row: int, scale: int) -> str:
    line = (" " * _GAP).join(_GLYPHS[char][row] for char in text)
    return "".join(dot * scale for dot in line)


def _half(upper: str, lower: str) -> str:
    return _HALVES[upper, lower]
