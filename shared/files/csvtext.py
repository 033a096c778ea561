"""CSV files that people and printers write: cells by their columns, and what is wrong with a line.

Never reads a file, and never takes one in part: whoever reads it collects the problems, and then refuses it whole.
"""

import csv
from collections.abc import Iterable, Mapping
from io import StringIO
from typing import Any

from shared.files.near import did_you_mean
from shared.files.problems import Problem
from shared.files.tomltext import shown_or_nothing, shown_text

Cells = Mapping[str | Any, str | Any]
"""Column to cell; None to the cells beyond the last column."""
QUOTES = "CSV, with a quote at both ends of a cell or at none"
NO_MORE = "no more cells than columns"


def csv_lines(text: str, delimiter: str = ",") -> "csv.DictReader[str]":
    """The lines of a text, which raise csv.Error where it is no CSV; some editors put a byte order mark in front."""
    plain = StringIO(text.removeprefix("\ufeff"), newline="")
    return csv.DictReader(plain, restval="", strict=True, delimiter=delimiter)


def beyond_columns(cells: Cells) -> str:
    """What stands in a line beyond its last column; nothing in most."""
    return ", ".join(cells.get(None) or ())


def line_problem(
    file: str, line: int, found: str, allowed: str, column: str | None = None, known: Iterable[str] = ()
) -> Problem:
    """What is wrong with a line, or with one cell of it; of the known names, the most likely one is proposed."""
    where = f"{file}: line {line}" + (f", column {shown_text(column)}" if column is not None else "")
    do = f"{did_you_mean(found, known)} Mend the line; nothing was recorded".strip()
    return Problem(where=where, found=shown_or_nothing(found), allowed=allowed, do=do)
