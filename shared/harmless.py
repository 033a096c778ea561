"""Text from outside, made harmless: it can be shown anywhere, and moves nothing that stands around it.

Never changes a letter of any script.
"""

import unicodedata
from collections.abc import Iterable, Iterator

from rich.cells import cell_len, set_cell_size

STRANGE = "\N{REPLACEMENT CHARACTER}"
ELLIPSIS = "\N{HORIZONTAL ELLIPSIS}"
MARKS_MAX = 8
"""Marks upon one letter; no script needs more, and a taller heap would climb over the lines around it."""

_UNSAFE = frozenset({"Cc", "Cs", "Co"})  # controls, halves of surrogate pairs, private use


def harmless(text: str, cells: int | None = None) -> str:
    """A text without anything that drives a terminal, turns the direction of writing, or cannot be seen.

    White space of any kind and length becomes one space. Controls become a replacement character, so that a reader
    sees that something was there; what has no shape of its own (zero-width and bidirectional format characters,
    variation selectors) is left out. With `cells`, it is shortened to so many columns of a terminal.
    """
    plain = " ".join("".join(_without_heaps(map(_harmless, text))).split())
    return plain if cells is None else shortened(plain, cells)


def _harmless(char: str) -> str:
    if char.isspace():
        return " "
    category = unicodedata.category(char)
    if category in _UNSAFE or _is_no_character(char):
        return STRANGE
    return "" if category == "Cf" or _selects_variation(char) else char


def _is_no_character(char: str) -> bool:
    """The 66 code points that Unicode keeps free of characters for ever; XML 1.0 forbids two of them."""
    return ord(char) & 0xFFFE == 0xFFFE or "\ufdd0" <= char <= "\ufdef"


def _without_heaps(chars: Iterable[str]) -> Iterator[str]:
    marks = 0
    for char in chars:
        marks = marks + 1 if unicodedata.combining(char or " ") else 0
        if marks <= MARKS_MAX:
            yield char


def _selects_variation(char: str) -> bool:
    return "\ufe00" <= char <= "\ufe0f" or "\U000e0100" <= char <= "\U000e01ef"


def shortened(text: str, cells: int) -> str:
    """A harmless text in at most so many columns of a terminal; an ellipsis stands for what was cut."""
    if cell_len(text) <= cells:
        return text
    return set_cell_size(text, cells - 1).rstrip() + ELLIPSIS if cells > 0 else ""
