"""The week into files: whole, in the forms that were asked for, and nowhere else."""

from pathlib import Path

import pypdfium2
import pytest
from openpyxl import load_workbook

from tests.floor.cli.desk import Desk

WEEK = ("report", "--week", "2026-W48")


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    it = Desk(tmp_path)
    it.walk(it.job()[0])
    return it


def test_the_week_is_written_in_every_form_that_was_asked_for(desk: Desk, tmp_path: Path) -> None:
    pdf, xlsx, folder = tmp_path / "week.pdf", tmp_path / "week.xlsx", tmp_path / "new" / "week"
    result = desk(*WEEK, "--pdf", str(pdf), "--xlsx", str(xlsx), "--csv", str(folder))
    assert result.exit_code == 0
    assert "Week 2026-W48" in pypdfium2.PdfDocument(pdf)[0].get_textpage().get_text_bounded()
    assert load_workbook(xlsx).sheetnames[0] == "week"
    names = {path.name for path in folder.iterdir()}
    assert {"2026-W48-jobs.csv", "2026-W48-times.csv"} <= names
    told = result.stderr
    assert all(f"The report of week 2026-W48 is in {path}." in told for path in (pdf, xlsx, *folder.iterdir()))
    assert result.stdout == ""


def test_only_what_was_asked_for_is_written(desk: Desk, tmp_path: Path) -> None:
    desk(*WEEK, "--pdf", str(tmp_path / "week.pdf"))
    assert {path.name for path in tmp_path.iterdir()} == {"shop", "week.pdf"}


def test_a_script_gets_the_data_and_the_file(desk: Desk, tmp_path: Path) -> None:
    assert desk.json(*WEEK, "--pdf", str(tmp_path / "week.pdf"))["week"] == "2026-W48"
    assert (tmp_path / "week.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(("form", "begins"), [("--pdf", b"%PDF"), ("--xlsx", b"PK")])
def test_standard_output_gets_the_file_alone(desk: Desk, form: str, begins: bytes) -> None:
    result = desk(*WEEK, form, "-", "--json")
    assert result.stdout_bytes.startswith(begins)
    assert b'{"week"' not in result.stdout_bytes


@pytest.mark.parametrize("form", ["--pdf", "--xlsx", "--csv"])
def test_what_cannot_be_written_is_told_in_one_line(desk: Desk, tmp_path: Path, form: str) -> None:
    (tmp_path / "file").write_text("in the way")
    result = desk(*WEEK, form, str(tmp_path / "file" / "week"))
    assert result.exit_code == 1
    assert "cannot be" in result.stderr
    assert len(result.stderr.splitlines()) == 1


def test_every_form_bears_the_head_of_the_ledger_against_which_check_holds_it(desk: Desk, tmp_path: Path) -> None:
    anchor = desk.json("check")["anchor"]
    pdf, xlsx = tmp_path / "week.pdf", tmp_path / "week.xlsx"
    assert desk.json(*WEEK, "--pdf", str(pdf), "--xlsx", str(xlsx))["anchor"] == anchor
    pages = list(pypdfium2.PdfDocument(pdf))
    assert all(f"ledger {anchor}" in page.get_textpage().get_text_bounded() for page in pages)
    rows = {row[0]: row[1] for row in load_workbook(xlsx)["week"].iter_rows(values_only=True)}
    assert rows["ledger"] == anchor
    assert desk("check", "--anchor", anchor).exit_code == 0
    seq, _, digits = anchor.partition(":")
    forged = f"{seq}:{int(digits, 16) ^ 1:016x}"
    result = desk("check", "--anchor", forged)
    assert (result.exit_code, f"row {seq}: it is another one than the anchor {forged} has" in result.stderr) == (
        1,
        True,
    )
