"""What a command says to somebody who has read nothing but the README, and made a mistake."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import click
import pytest
from click.testing import CliRunner, Result

from floor.cli import listen as listening
from floor.cli import paper
from floor.cli.lazy import Placed
from floor.cli.main import main
from floor.cli.opening import Folder
from shared import wording
from shared.clock import SetClock

NOW = datetime(2026, 11, 25, 19, 5, tzinfo=UTC)
"""Five past two in the afternoon in New York."""
JOB = """
customer = "Harbour rowing club"
due = 2026-12-02T16:00:00
[[lines]]
design = "oars"
item = "heavy tee"
colour = "navy"
sizes = { S = 1 }
price_each = "21.50"
[[lines.prints]]
place = "front"
width_mm = 305
height_mm = 330
"""
LISTED_WITHOUT = {"check", "demo", "init", "ink", "estimate"}
"""Commands whose first sentence need not fit the list."""


class Newcomer:
    """Somebody in a new shop with one job, at a moment that stands still."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self("init", str(folder))
        assert self("job", "add", "-", stdin=JOB).exit_code == 0

    def __call__(self, *words: str, stdin: str | None = None) -> Result:
        return CliRunner().invoke(main, words, input=stdin, obj=Folder(self.folder, SetClock(NOW)))


@pytest.fixture
def newcomer(tmp_path: Path) -> Newcomer:
    return Newcomer(tmp_path / "shop")


def commands(group: click.Group = main) -> Iterator[tuple[str, click.Command]]:
    for name, placed in group.commands.items():
        command = placed.loaded() if isinstance(placed, Placed) else placed
        yield name, command
        if isinstance(command, click.Group):
            yield from commands(command)


def test_paper_that_cannot_be_drawn_leaves_the_file_of_last_time(newcomer: Newcomer, tmp_path: Path) -> None:
    file = tmp_path / "travellers.pdf"
    newcomer("tickets", "J0001", "-o", str(file))
    before = file.read_bytes()
    assert newcomer("tickets", "J0001", "--stock", "papyrus", "-o", str(file)).exit_code == 2
    assert file.read_bytes() == before


@pytest.mark.parametrize("words", [("job", "show"), ("tickets", "-o", "-")])
def test_a_job_is_found_however_its_letter_was_typed(newcomer: Newcomer, words: tuple[str, ...]) -> None:
    assert newcomer(*words, "j0001").exit_code == 0


def test_a_job_that_is_late_when_it_is_taken_is_told_so(newcomer: Newcomer) -> None:
    late = newcomer("job", "add", "-", stdin=JOB.replace("2026-12", "2025-12"))
    assert late.exit_code == 0
    assert "its due time has passed" in late.stderr
    assert "its due time has passed" not in newcomer("job", "add", "-", stdin=JOB).stderr


@pytest.mark.parametrize("command", ["board", "press", "wall"])
def test_nobody_is_shown_a_moment_that_has_not_come(newcomer: Newcomer, command: str) -> None:
    words = (command, "--once") if command == "wall" else (command,)
    ahead = newcomer(*words, "--at", "2026-11-25T14:06")
    assert ahead.exit_code == 1
    assert "has not come yet" in ahead.stderr
    assert newcomer(*words, "--at", "2026-11-25T14:05").exit_code == 0


@pytest.mark.parametrize(
    ("name", "text", "told"), [("none.csv", None, "No such file"), ("latin.csv", b"\xe9", "not text in UTF-8")]
)
def test_a_csv_file_that_cannot_be_read_is_told_without_a_number(
    newcomer: Newcomer, tmp_path: Path, name: str, text: bytes | None, told: str
) -> None:
    if text is not None:
        (tmp_path / name).write_bytes(text)
    result = newcomer("backfill", str(tmp_path / name))
    assert result.exit_code == 1
    assert told in result.stderr
    assert "Errno" not in result.stderr


def test_what_the_disk_does_not_allow_is_told_in_one_line(newcomer: Newcomer, monkeypatch: pytest.MonkeyPatch) -> None:
    def forbidden(*_: object) -> None:
        raise PermissionError(13, "Permission denied", ".piecewalk.lock")

    monkeypatch.setattr(listening, "run_floor", forbidden)
    result = newcomer("run")
    assert result.exit_code == 1
    assert result.stderr.splitlines() == [
        ".piecewalk.lock: Permission denied. See that the folder exists and may be written to."
    ]


def test_a_reader_who_stops_reading_is_not_an_error_of_the_disk(
    newcomer: Newcomer, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise BrokenPipeError(32, "Broken pipe")

    monkeypatch.setattr(paper, "piece_of", broken)
    assert newcomer("tickets", "J0001", "--piece", "1000000137").stderr == ""


def test_a_floor_that_hears_no_scanner_says_so(newcomer: Newcomer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(listening, "run_floor", lambda *_: None)
    assert "names no scanner" in newcomer("run").stdout
    with (newcomer.folder / "shop.toml").open("a") as file:
        file.write('[[scanners]]\nname = "desk"\nport = "stdin"\n')
    assert newcomer("run").stdout == ""


def test_a_piece_that_is_not_finished_has_no_cycle_time_yet(newcomer: Newcomer) -> None:
    piece = newcomer("job", "show", "J0001").stdout.splitlines()[3].split()[0]
    assert "Cycle time: known when it is finished." in newcomer("piece", piece).stdout


@pytest.mark.parametrize(("name", "command"), [each for each in commands() if each[0] not in LISTED_WITHOUT])
def test_the_list_of_commands_cuts_no_sentence(name: str, command: click.Command) -> None:
    assert not command.get_short_help_str(60).endswith("..."), name


@pytest.mark.parametrize(("days", "shown"), [(182, "26 May 14:05"), (183, "27 May 2027"), (-365, "25 Nov 2025")])
def test_a_moment_half_a_year_away_says_its_year(days: int, shown: str) -> None:
    zone = ZoneInfo("America/New_York")
    at = (NOW.astimezone(zone) + timedelta(days=days)).astimezone(UTC)
    assert wording.moment(at, NOW, zone) == shown
