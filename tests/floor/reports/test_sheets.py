"""The week as a workbook and as CSV files: the figures of the report, and formulas that come to the same."""

import csv
import re
from collections.abc import Iterator
from datetime import datetime, timedelta
from decimal import Decimal
from io import BytesIO, StringIO
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from msgspec.structs import replace
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from floor.core.figures.data import WeekReport
from floor.core.figures.week import week_report
from floor.reports.csv_files import csv_files
from floor.reports.sheets import Sheet, sheets
from floor.reports.workbook import DAY_S, write_workbook
from shared.codes import CodeType
from shared.files.shop import Shop, parse_shop
from tests.making import DARK_WALK, LIGHT_WALK, Play, card, shop_data, walk

STAIN = card(CodeType.REASON, "stain")


def a_week(shop: Shop | None = None, **wishes: Any) -> WeekReport:
    """Two jobs, a spoiled piece and its remake."""
    play = Play(shop)
    dark = play.job(sizes={"M": 3}, **wishes)
    light = play.job(colour="white", sizes={"L": 2}, price_each="14.00")
    for code in light:
        walk(play, code, LIGHT_WALK)
    walk(play, dark[0], [(station, after_s * 1.5) for station, after_s in DARK_WALK])
    play.scan(dark[1], "pretreat booth")
    play.spoil(dark[1], "pretreat booth")
    play.now += timedelta(hours=1)
    return week_report(play.floor, play.shop, "2026-W48", play.now)


def book_of(report: WeekReport, shop: Shop, *, formulas: bool = False) -> Workbook:
    out = BytesIO()
    write_workbook(report, shop, out)
    return load_workbook(out, data_only=not formulas)


@pytest.fixture(scope="module")
def report() -> WeekReport:
    return a_week()


@pytest.fixture(scope="module")
def book(report: WeekReport) -> Workbook:
    return book_of(report, parse_shop(shop_data()))


@pytest.fixture(scope="module")
def formulas(report: WeekReport) -> Workbook:
    return book_of(report, parse_shop(shop_data()), formulas=True)


def cells(page: Worksheet) -> list[list[Any]]:
    return [[cell.value for cell in row] for row in page.iter_rows()]


def total_row(sheet: Sheet) -> list[Any]:
    """What the last line of a sheet should say."""
    sums = [
        sum((Decimal(row[n]) for row in sheet.rows), Decimal(0)) if field.summed else None  # type: ignore[arg-type]
        for n, field in enumerate(sheet.fields)
    ]
    return ["total", *sums[1:]] if any(field.summed for field in sheet.fields) else []


def test_every_figure_of_the_report_is_in_its_cell(report: WeekReport, book: Workbook) -> None:
    for sheet in sheets(report):
        heading, *rows = cells(book[sheet.name])
        assert heading == [field.name.replace("_", " ") for field in sheet.fields]
        for told, row in zip(rows, [*sheet.rows, *filter(None, [total_row(sheet)])], strict=True):
            for field, there, figure in zip(sheet.fields, told, row, strict=True):
                assert is_it(field.kind, there, figure), field


def is_it(kind: str, there: Any, figure: Any) -> bool:
    """Whether a cell holds a figure; openpyxl reads durations to the millisecond."""
    if figure is None or isinstance(figure, str):
        return bool(there == figure)
    if isinstance(figure, datetime):
        by_the_clock = figure.astimezone(ZoneInfo("America/New_York")).replace(tzinfo=None)
        return bool(abs(there - by_the_clock) < timedelta(seconds=1))
    if kind == "seconds":
        return bool(number(there) * DAY_S == pytest.approx(float(figure), abs=0.001))
    return bool(there == pytest.approx(float(figure)))


def number(cell: Any) -> float:
    """A cell as a spreadsheet reckons with it: a duration is a number of days."""
    return cell / timedelta(days=1) if isinstance(cell, timedelta) else float(cell)


def test_the_total_of_the_jobs_is_that_of_the_report(report: WeekReport, book: Workbook) -> None:
    names, *_, last = cells(book["jobs"])
    told = dict(zip(names, last, strict=True))
    total = report.total
    assert told["quoted"] == pytest.approx(float(total.quoted["total"]))
    assert told["variance"] == pytest.approx(float(total.variance_total))
    assert told["margin made"] == pytest.approx(float(total.margin_made))
    assert told["finished"] == total.finished


class Reckoner:
    """A little of what a spreadsheet does, to see that the formulas come to the figures: + - SUM and SUMIFS."""

    def __init__(self, book: Workbook) -> None:
        self.book = book

    def value(self, page: Worksheet, name: str) -> Any:
        content = page[name].value
        return self.come_to(page, content[1:]) if isinstance(content, str) and content.startswith("=") else content

    def column(self, page: Worksheet, text: str) -> list[Any]:
        """$B$2:$B$9, or elements!$B$2:$B$9."""
        sheet, _, cell_range = text.rpartition("!")
        there = self.book[sheet] if sheet else page
        return [self.value(there, cell.coordinate) for (cell,) in there[cell_range.replace("$", "")]]

    def come_to(self, page: Worksheet, formula: str) -> float:
        if called := re.fullmatch(r"SUM\((.*)\)", formula):
            return sum(map(number, self.column(page, called[1])))
        if called := re.fullmatch(r"SUMIFS\((.*),(.*),(.*)\)", formula):
            wanted = self.value(page, called[3])
            pairs = zip(self.column(page, called[1]), self.column(page, called[2]), strict=True)
            return sum(number(figure) for figure, key in pairs if key == wanted)
        terms = re.findall(r"([+-]?)([A-Z]+[0-9]+)", formula)
        return sum((-1 if sign == "-" else 1) * number(self.value(page, name)) for sign, name in terms)


def formula_cells(book: Workbook) -> Iterator[tuple[Worksheet, str]]:
    for page in book.worksheets:
        for row in page.iter_rows():
            yield from ((page, cell.coordinate) for cell in row if cell.data_type == "f")


def test_each_formula_comes_to_the_figure_that_stands_in_its_cell(book: Workbook, formulas: Workbook) -> None:
    reckoner = Reckoner(formulas)
    found = list(formula_cells(formulas))
    assert len(found) > 40
    for page, name in found:
        shown = number(book[page.title][name].value)
        assert reckoner.value(page, name) == pytest.approx(shown, abs=1e-8), (page.title, name)


def test_headings_stay_in_sight(book: Workbook) -> None:
    assert {page.freeze_panes for page in book.worksheets} == {"B2"}


@pytest.mark.parametrize(("currency", "form"), [("USD", "#,##0.00"), ("JPY", "#,##0"), ("KWD", "#,##0.000")])
def test_money_has_the_places_of_its_currency(currency: str, form: str) -> None:
    data = shop_data()
    data["shop"]["currency"] = currency
    shop = parse_shop(data)
    assert book_of(a_week(shop), shop)["jobs"]["E2"].number_format == form


def test_csv_files_hold_the_same_figures_as_numbers(report: WeekReport) -> None:
    files = dict(csv_files(report))
    for sheet in sheets(report):
        content = files[f"2026-W48-{sheet.name}.csv"].decode()
        assert content.count("\n") == content.count("\r\n") == len(sheet.rows) + 1
        _, *rows = csv.reader(StringIO(content, newline=""))
        for told, row in zip(rows, sheet.rows, strict=True):
            for field, there, figure in zip(sheet.fields, told, row, strict=True):
                assert there == ("" if figure is None else told_as(figure)), field


def test_a_duration_says_in_its_name_that_it_is_seconds(report: WeekReport) -> None:
    heading = dict(csv_files(report))["2026-W48-times.csv"].decode().splitlines()[0]
    assert heading == '"time","step","n","median_s","p90_s","mean_s","derived","assumed"'


def told_as(figure: Any) -> str:
    return figure.isoformat() if isinstance(figure, datetime) else str(figure)


def test_a_negative_amount_stays_a_number(report: WeekReport) -> None:
    job = report.jobs[1]
    why = job.variance["spoilage"]
    assert why.quantity < 0
    line = f'"{job.job}","spoilage",{job.quoted["spoilage"]},{job.actual["spoilage"]},{why.price},{why.quantity}'
    assert line in dict(csv_files(report))["2026-W48-elements.csv"].decode().splitlines()


def test_a_name_that_looks_like_a_formula_is_a_text_in_the_file(report: WeekReport) -> None:
    content = dict(csv_files(with_customer(report, '=HYPERLINK("http://x")')))["2026-W48-jobs.csv"].decode()
    assert '"\'=HYPERLINK(""http://x"")"' in content


def test_a_name_that_looks_like_a_formula_is_a_text_in_the_workbook(report: WeekReport) -> None:
    cell = book_of(with_customer(report, "=1+1"), parse_shop(shop_data()), formulas=True)["jobs"]["B2"]
    assert (cell.data_type, cell.value) == ("s", "=1+1")


def with_customer(report: WeekReport, name: str) -> WeekReport:
    return replace(report, jobs=[replace(job, customer=name) for job in report.jobs])


def test_a_week_without_work_is_a_workbook_all_the_same() -> None:
    play = Play()
    empty = week_report(play.floor, play.shop, "2026-W47", play.now)
    book = book_of(empty, play.shop)
    assert cells(book["jobs"])[1][0] == "total"
