"""The week's report as a workbook (XLSX): a sheet for each subject, with formulas that recompute its totals.

Never leaves a formula without the figure of the report beside it: what is read without a spreadsheet is right too.
"""

import re
from collections.abc import Mapping, Sequence
from datetime import datetime, tzinfo
from decimal import Decimal
from typing import BinaryIO

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.utility import xl_col_to_name
from xlsxwriter.worksheet import Worksheet

from floor.core.figures.data import WeekReport
from floor.core.figures.job_columns import Cell, ColumnKind
from floor.reports.sheets import Field, Sheet, sheets
from shared.files.shop import Shop
from shared.harmless import harmless
from shared.money import minor_unit
from shared.wording import spaced

WIDTH_MAX = 60
"""The characters after which a text goes on below itself."""
FIGURE_WIDTH = 12
DAY_S = 86_400
FORMS: Mapping[ColumnKind, str] = {
    "text": "@",
    "count": "#,##0",
    "millilitres": "#,##0.0",
    "seconds": "[h]:mm:ss",
    "share": "0.0%",
    "rate": "#,##0.0##",
    "moment": "yyyy-mm-dd hh:mm:ss",
}
REFERENCE = re.compile(r"{(?:(\w+)\.)?(\w+)}")


def write_workbook(report: WeekReport, shop: Shop, out: BinaryIO) -> None:
    """The report as an XLSX file. Durations are hours, minutes and seconds; moments are in the shop's zone."""
    book = xlsxwriter.Workbook(out, {"in_memory": True, "default_date_format": FORMS["moment"]})
    book.set_properties({"title": f"{harmless(shop.name)}, week {report.week}"})
    every = {sheet.name: sheet for sheet in sheets(report)}
    styles = _Styles(book, report.currency)
    for sheet in every.values():
        _Page(book.add_worksheet(sheet.name), sheet, every, styles, shop.hours.zone).draw()
    book.close()


class _Styles:
    """How cells look: by what they hold, in headings, and in totals."""

    def __init__(self, book: xlsxwriter.Workbook, currency: str) -> None:
        forms = {**FORMS, "money": f"#,##{0 * minor_unit(currency):f}"}
        top = {"valign": "top", "text_wrap": True}
        sums = {"bold": True, "top": 1}
        self.heading: Format = book.add_format({**top, "bold": True, "bottom": 1})
        self.cell = {kind: book.add_format({**top, "num_format": form}) for kind, form in forms.items()}
        self.total = {kind: book.add_format({**sums, "num_format": form}) for kind, form in forms.items()}


class _Page:
    """One sheet on its page of the workbook."""

    def __init__(
        self, page: Worksheet, sheet: Sheet, every: Mapping[str, Sheet], styles: _Styles, zone: tzinfo
    ) -> None:
        self._page = page
        self._sheet = sheet
        self._every = every
        self._styles = styles
        self._zone = zone

    def draw(self) -> None:
        self._page.freeze_panes(1, 1)
        self._page.set_landscape()
        self._page.fit_to_pages(1, 0)
        self._page.repeat_rows(0)
        for column, field in enumerate(self._sheet.fields):
            cells = [row[column] for row in self._sheet.rows]
            self._page.set_column(column, column, _width(field, cells))
            self._page.write_string(0, column, spaced(field.name), self._styles.heading)
            for row, cell in enumerate(cells, start=1):
                self._write(row, column, cell, self._formula(field, row), self._styles.cell[field.kind])
        if any(field.summed for field in self._sheet.fields):
            self._draw_totals()

    def _draw_totals(self) -> None:
        last = len(self._sheet.rows)
        for column, field in enumerate(self._sheet.fields):
            total: Cell = None if column else "total"
            formula = ""
            if field.summed:
                total = sum((Decimal(row[column]) for row in self._sheet.rows), Decimal(0))  # type: ignore[arg-type]
                formula = f"=SUM({_range(column, last)})" if last else ""
            self._write(last + 1, column, total, formula, self._styles.total[field.kind])

    def _write(self, row: int, column: int, cell: Cell, formula: str, style: Format) -> None:
        """A cell; where it has a formula, with what the report says as its result."""
        kind = self._sheet.fields[column].kind
        if cell is None:
            self._page.write_blank(row, column, None, style)
        elif isinstance(cell, str):
            self._page.write_string(row, column, harmless(cell), style)
        elif isinstance(cell, datetime):
            self._page.write_datetime(row, column, cell.astimezone(self._zone).replace(tzinfo=None), style)
        else:
            figure = float(cell) / DAY_S if kind == "seconds" else float(cell)
            if formula:
                self._page.write_formula(row, column, formula, style, figure)
            else:
                self._page.write_number(row, column, figure, style)

    def _formula(self, field: Field, row: int) -> str:
        return f"={REFERENCE.sub(lambda found: self._reference(found, row), field.formula)}" if field.formula else ""

    def _reference(self, found: re.Match[str], row: int) -> str:
        """Where a formula finds what it names: a cell of this row, or a column of another sheet."""
        sheet, name = found.groups()
        if sheet is None:
            return f"{xl_col_to_name(_column(self._sheet, name))}{row + 1}"
        other = self._every[sheet]
        return f"{sheet}!{_range(_column(other, name), max(1, len(other.rows)))}"


def _column(sheet: Sheet, name: str) -> int:
    return next(n for n, field in enumerate(sheet.fields) if field.name == name)


def _range(column: int, rows: int) -> str:
    name = xl_col_to_name(column)
    return f"${name}$2:${name}${rows + 1}"


def _width(field: Field, cells: Sequence[Cell]) -> int:
    if field.kind != "text":
        return FIGURE_WIDTH
    return min(WIDTH_MAX, max(len(str(cell)) for cell in [spaced(field.name), *cells]) + 1)
