"""The week's report as CSV (RFC 4180): a file for each subject.

Never writes a total: whoever reads a column would count it twice.
"""

import csv
from collections.abc import Iterator, Sequence
from datetime import datetime
from decimal import Decimal
from io import StringIO

from floor.core.figures.data import WeekReport
from floor.core.figures.job_columns import Cell
from floor.reports.sheets import Field, Sheet, sheets
from shared.spreadsheet import text_cell


def csv_files(report: WeekReport) -> Iterator[tuple[str, bytes]]:
    """Name and content of each file, UTF-8. Texts are in quotes and never a formula, durations are seconds."""
    for sheet in sheets(report):
        yield f"{report.week}-{sheet.name}.csv", _lines(sheet).encode()


def _lines(sheet: Sheet) -> str:
    out = StringIO(newline="")
    writer = csv.writer(out, quoting=csv.QUOTE_NONNUMERIC)
    writer.writerow(map(_name, sheet.fields))
    writer.writerows(_cells(row) for row in sheet.rows)
    return out.getvalue()


def _name(field: Field) -> str:
    """A duration says that it is seconds; in a workbook it is shown as hours."""
    return f"{field.name}_s" if field.kind == "seconds" else field.name


def _cells(row: Sequence[Cell]) -> list[str | int | float | Decimal]:
    return [_cell(cell) for cell in row]


def _cell(cell: Cell) -> str | int | float | Decimal:
    if cell is None:
        return ""
    if isinstance(cell, datetime):
        return cell.isoformat()
    return text_cell(cell) if isinstance(cell, str) else cell
