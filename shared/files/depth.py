"""How deep tables and lists lie within each other in a TOML text, told before anybody builds them.

Never parses: what it costs grows with the length of the text alone, whatever the text holds.
"""

import re

DEPTH_MAX = 16
"""Our own files need four. A parser takes memory by the square of the depth, and a call of its own for each level."""

_token = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*+"{3,5}'
    r"|'''(?:[^']|'(?!''))*+'{3,5}"
    r'|"(?:[^"\\\n]|\\.)*+"'
    r"|'[^'\n]*+'"
    r"|\#[^\n]*+"
    r"|[\[\]{}.,=\n]"
    r"|(?P<open>[\"'])",
    re.DOTALL,
)
"""Texts and comments whole, so that nothing in them counts; `open` is a text that has no end."""


def too_deep(text: str) -> tuple[int, int] | None:
    """The first line that goes beyond DEPTH_MAX, and the depth that it reaches there; None when no line does.

    A dot is a level, as it makes a table in a key; one in a number does not, but no number has two.
    """
    line, dots, brackets = 1, 0, 0
    for token in _token.finditer(text):
        match token[0]:
            case "\n":
                line, dots = line + 1, 0
            case ".":
                dots += 1
            case "," | "=":
                dots = 0
            case "[" | "{":
                brackets, dots = brackets + 1, 0
            case "]" | "}":
                brackets, dots = max(brackets - 1, 0), 0
            case _ if token["open"]:
                return None  # no TOML: it is read up to here, and no further
            case text_or_comment:
                line += text_or_comment.count("\n")
        if brackets + dots > DEPTH_MAX:
            return line, brackets + dots
    return None
