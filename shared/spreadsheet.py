"""Text from outside as a cell of a spreadsheet or a CSV file: it is shown, and never calculated.

Never used for numbers: minus three would become a text.
"""

from shared.harmless import harmless

BEGINS_A_FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
"""OWASP, "CSV Injection". Tab, carriage return, line feed and NUL, which it names too, do not outlive `harmless`."""


def text_cell(text: str) -> str:
    """A text that no spreadsheet takes for a formula, with nothing in it that drives a terminal.

    Whoever writes it to a CSV file must still put it in quotes, and double the quotes in it (RFC 4180).
    """
    plain = text if text.isprintable() else harmless(text)
    return f"'{plain}" if plain.lstrip().startswith(BEGINS_A_FORMULA) else plain
