"""`export`, as a person and as a script meet it."""

import csv
import io
import json
from pathlib import Path

import pytest
from rich.console import Console

from floor.cli.export import Source
from floor.cli.progress import STRIDE, watched
from floor.cli.trouble import NotDone
from floor.cli.writing import whole_file
from shared.events.recorded import Fact
from tests.floor.cli.desk import Desk
from tests.floor.exports.day import Day
from tests.making import Play


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """A shop in which a piece was pretreated on each of two days."""
    desk = Desk(tmp_path)
    for piece, day in zip(desk.job(), ("2026-11-23", "2026-11-24"), strict=False):
        desk.json("scan", piece, "--station", "pretreat booth", "--at", f"{day}T09:00")
    return desk


def test_a_file_is_written_in_each_format(desk: Desk) -> None:
    for form, beginning in (("csv", b'"seq",'), ("epcis", b'{"@context"'), ("xes", b"<?xml")):
        file = desk.folder / f"out.{form}"
        answer = desk.json("export", form, "-o", str(file))
        assert (answer["format"], answer["rows"]) == (form, 7)
        assert file.read_bytes().startswith(beginning)


def test_without_a_file_it_is_written_to_standard_output(desk: Desk) -> None:
    assert len(json.loads(desk("export", "epcis").stdout)["epcisBody"]["eventList"]) == 4


def test_days_are_those_of_the_shop_and_the_last_is_left_out(desk: Desk) -> None:
    text = desk("export", "csv", "--since", "2026-11-23", "--until", "2026-11-24").stdout
    assert [line["local_time"] for line in csv.DictReader(io.StringIO(text))] == ["2026-11-23 09:00:00"]


def test_names_lie_below_the_address_that_is_asked_for(desk: Desk) -> None:
    assert '"https://prints.example/piece/' in desk("export", "epcis", "--base", "https://prints.example").stdout


def test_a_base_that_is_no_address_is_refused(desk: Desk) -> None:
    refused = desk("export", "epcis", "--base", "my shop")
    assert refused.exit_code == 1
    assert "https://prints.example" in refused.stderr


def test_a_window_that_ends_before_it_begins_is_refused(desk: Desk) -> None:
    refused = desk("export", "csv", "--since", "2026-11-24", "--until", "2026-11-24")
    assert refused.exit_code == 1
    assert "--until 2026-11-24 is not after" in refused.stderr


def test_an_unknown_format_is_wrong_usage(desk: Desk) -> None:
    wrong = desk("export", "xlsx")
    assert wrong.exit_code == 2
    assert "csv|epcis|xes" in wrong.stderr


def test_a_file_in_no_folder_is_refused_in_a_line(desk: Desk) -> None:
    refused = desk("export", "csv", "-o", str(desk.folder / "none" / "x.csv"))
    assert refused.exit_code == 1
    assert refused.stderr.count("\n") == 1


def test_half_an_export_never_bears_the_name_and_the_old_one_stays(tmp_path: Path) -> None:
    file = tmp_path / "events.csv"
    file.write_bytes(b"yesterday's")

    def written_halfway() -> None:
        with whole_file(str(file)) as half:
            half.write(b"today's, but")
            raise RuntimeError("the ledger is gone")

    with pytest.raises(RuntimeError):
        written_halfway()
    assert [path.name for path in tmp_path.iterdir()] == ["events.csv"]
    assert file.read_bytes() == b"yesterday's"


def test_a_disk_that_is_full_is_told_of() -> None:
    with pytest.raises(NotDone, match="cannot be written"), whole_file("/dev/full") as file:
        file.write(b"x" * 100_000)


def test_a_person_who_watches_sees_how_far_it_is() -> None:
    play, screen = Play(), io.StringIO()
    play.job(sizes={"M": 2 * STRIDE - 1})
    rows = watched(play.rows, len(play.rows), Console(file=screen, force_terminal=True, width=80))
    assert list(rows) == play.rows
    assert "reading" in screen.getvalue()
    assert "100%" in screen.getvalue()


def test_nobody_watches_a_pipe() -> None:
    ledger = Day().ledger
    rows = Source(ledger, None).rows()
    assert [row.seq for row in rows] == list(range(1, ledger.head() + 1))


def test_an_export_ends_at_the_row_that_was_the_last_when_it_began() -> None:
    day = Day()
    ledger = day.ledger
    source = Source(ledger, None)
    with ledger.transaction() as transaction:
        transaction.append(_another(day), day.play.now)
    assert (len(list(source.rows())), len(list(source.stored()))) == (source.last, source.last)


def _another(day: Day) -> list[Fact]:
    last = day.play.rows[-1]
    return [Fact(event=last.event, occurred_at=last.occurred_at)]
