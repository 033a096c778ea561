"""Text into a box: shrunk, then wrapped, then cut with an ellipsis.

Never draws, and never gives back a line that is wider than its box.
"""

from collections.abc import Iterator
from functools import lru_cache
from unicodedata import combining

from msgspec import Struct

from tickets.kit.fonts import LEADING, Weight, ems

ELLIPSIS = "…"
_SHRINK = 0.94
SLACK = 1e-6
"""Points by which sums of widths may be off."""
_GOOD_SHARE = 0.75
"""A line is shrunk to three quarters of its size before it is broken in two."""


class Fitted(Struct, frozen=True):
    """The lines of a text and the font size, in points, at which they fit."""

    lines: tuple[str, ...]
    size: float


@lru_cache(maxsize=8192)
def fit(text: str, weight: Weight, width: float, height: float, size: float, least: float, lines: int) -> Fitted:
    """A text in a box of so many points, set in at most `size` and at most so many lines.

    At the `least` size what does not fit is cut; a box too low for one line of it gets one that is smaller.
    """
    tries = [_largest(text, weight, width, height, size, least, count) for count in range(1, lines + 1)]
    fitting = [fitted for fitted in tries if fitted]
    for fitted in fitting:
        if fitted.size >= size * _GOOD_SHARE:
            return fitted
    return max(fitting, key=lambda fitted: fitted.size, default=_cut(text, weight, width, height, least, lines))


def _largest(
    text: str, weight: Weight, width: float, height: float, size: float, least: float, count: int
) -> Fitted | None:
    """The text in `count` lines or fewer at the largest size, or None where not even the least one will do."""
    now = min(size, height / LEADING / count)
    while now >= least:
        broken = tuple(wrapped(text, weight, width / now))
        if len(broken) <= count and all(ems(line, weight) * now <= width + SLACK for line in broken):
            return Fitted(broken, now)  # a single letter cannot be broken, and may still be too wide
        now *= _SHRINK
    return None


def _cut(text: str, weight: Weight, width: float, height: float, least: float, lines: int) -> Fitted:
    size = min(least, height / LEADING)
    room = max(1, min(lines, int(height / LEADING / size + 1e-6)))
    broken = list(wrapped(text, weight, width / size))
    if len(broken) > room:
        rest = " ".join(broken[room - 1 :])
        broken = [*broken[: room - 1], _shortened(rest, weight, width / size)]
    return Fitted(tuple(broken), size)


def _shortened(text: str, weight: Weight, width_ems: float) -> str:
    end = len(_head(text, weight, width_ems - ems(ELLIPSIS, weight)))
    return text[:end].rstrip() + ELLIPSIS


def wrapped(text: str, weight: Weight, width_ems: float) -> Iterator[str]:
    """Lines no wider than so many ems: broken between words, and inside a word that is too long for a line."""
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if ems(longer, weight) <= width_ems:
            line = longer
            continue
        if line:
            yield line
        *full, line = _broken(word, weight, width_ems)
        yield from full
    yield line


def _broken(word: str, weight: Weight, width_ems: float) -> list[str]:
    """A word in as few parts as fit; at least a letter each, however narrow the line."""
    parts = []
    while ems(word, weight) > width_ems and len(word) > 1:
        head = _head(word, weight, width_ems) or word[0]
        parts.append(head)
        word = word[len(head) :]
    return [*parts, word]


def _head(text: str, weight: Weight, width_ems: float) -> str:
    """As much of the beginning of a text as fits, no accent torn from its letter."""
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if ems(text[:middle], weight) <= width_ems else (low, middle - 1)
    while 0 < low < len(text) and combining(text[low]):
        low -= 1
    return text[:low]
