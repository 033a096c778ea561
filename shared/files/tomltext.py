"""Values and key paths as they stand in a TOML file, short and on one line, for messages.

Never writes a file: what is shown may be cut short.
"""

import re
from collections.abc import Iterable, Mapping
from datetime import date, time
from decimal import Decimal
from itertools import islice
from typing import Any

SHOWN_MAX = 60
"""Characters of a value that are shown; the rest is an ellipsis."""
ENTRIES_MAX = 4
"""Entries of a list or a table that are shown."""
WIDE_BITS = 256
"""A whole number beyond this is only called so: Python refuses to write out the largest ones."""

_ESCAPES = {"\n": "\\n", "\t": "\\t", "\r": "\\r"}


def one_line(text: str) -> str:
    """Text without anything that moves a cursor, colours a terminal or turns the writing around."""
    return "".join(c if c.isprintable() else _escape(c) for c in text)


def shortened(text: str) -> str:
    """Text cut to what a message has room for."""
    return text if len(text) <= SHOWN_MAX else text[: SHOWN_MAX - 1] + "…"


def shown_text(text: str) -> str:
    """Text in quotes, short, its control characters escaped."""
    escaped = shortened(text).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{one_line(escaped)}"'


def shown_or_nothing(text: str) -> str:
    """As `shown_text`; "nothing" for an empty text."""
    return shown_text(text) if text else "nothing"


def shown_key(key: str) -> str:
    """A key, in quotes only where TOML wants them."""
    return key if re.fullmatch(r"[A-Za-z0-9_-]{1,60}", key) else shown_text(key)


def shown_path(parts: Iterable[str | int]) -> str:
    """A key path: lines[2].prints[1].width_mm, items."heavy tee".cost."""
    path = "".join(f"[{part}]" if isinstance(part, int) else f".{shown_key(part)}" for part in parts)
    return path.removeprefix(".")


def shown_value(value: Any) -> str:
    """A value as it would stand in the file; what is inside a list or a table only in outline."""
    match value:
        case list() | tuple():
            return shortened(f"[{', '.join(_entries(map(_outline, value)))}]")
        case Mapping():
            pairs = (f"{shown_key(str(key))} = {_outline(inner)}" for key, inner in value.items())
            return shortened(f"{{ {', '.join(_entries(pairs))} }}") if value else "{}"
        case _:
            return shown_scalar(value)


def written(value: Any) -> str:
    """A value as a line of TOML has it, every entry of a list or a table whole."""
    match value:
        case list() | tuple():
            return f"[{', '.join(map(written, value))}]"
        case Mapping() if value:
            pairs = (f"{shown_key(str(key))} = {written(inner)}" for key, inner in value.items())
            return f"{{ {', '.join(pairs)} }}"
        case Mapping():
            return "{}"
        case _:
            return shown_scalar(value)


def plain(number: Any) -> str:
    """A number without an exponent or trailing zeros."""
    text = format(Decimal(str(number)), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def shown_scalar(value: Any) -> str:
    """A single value as it would stand in the file."""
    match value:
        case str():
            return shown_text(value)
        case bool():
            return str(value).lower()
        case int():
            return str(value) if value.bit_length() <= WIDE_BITS else "a very large number"
        case Decimal():
            return plain(value)
        case date() | time():
            return value.isoformat()
        case _:
            return one_line(shortened(str(value)))


def _escape(character: str) -> str:
    number = ord(character)
    return _ESCAPES.get(character, f"\\u{number:04x}" if number <= 0xFFFF else f"\\U{number:08x}")


def _outline(value: Any) -> str:
    match value:
        case list() | tuple():
            return "[…]" if value else "[]"
        case Mapping():
            return "{ … }" if value else "{}"
        case _:
            return shown_scalar(value)


def _entries(shown: Iterable[str]) -> list[str]:
    entries = list(islice(shown, ENTRIES_MAX + 1))
    return entries if len(entries) <= ENTRIES_MAX else [*entries[:ENTRIES_MAX], "…"]
