"""The week's report into files: PDF, workbook, CSV.

Never draws: floor.reports does.
"""

from pathlib import Path

from floor.cli.trouble import NotDone
from floor.cli.writing import whole_file
from floor.core.figures.data import WeekReport
from shared.files.shop import Shop


def write_week(report: WeekReport, shop: Shop, pdf: str | None, xlsx: str | None, csv: str | None) -> list[str]:
    """Write the report in the forms that were asked for; the files. Raises NotDone where one cannot be written."""
    from floor.reports.weekly import WRITERS  # reportlab and xlsxwriter, which few commands need

    asked = {"pdf": pdf, "xlsx": xlsx}
    files = [file for file in asked.values() if file]
    for form, write in WRITERS.items():
        if file := asked[form]:
            with whole_file(file) as out:
                write(report, shop, out)
    return [*files, *(_csv(report, Path(csv)) if csv else [])]


def _csv(report: WeekReport, folder: Path) -> list[str]:
    from floor.reports.csv_files import csv_files

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise NotDone(f"{folder} cannot be made: {error.strerror}", do="Name another folder.") from None
    files = []
    for name, content in csv_files(report):
        with whole_file(str(folder / name)) as out:
            out.write(content)
        files.append(str(folder / name))
    return files
