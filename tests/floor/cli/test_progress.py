"""Long work shows on a terminal how far it is, and leaves a pipe alone."""

import io
from pathlib import Path

import pytest
from rich.console import Console

from floor.cli import paper, progress
from tests.floor.cli.desk import Desk

HEAD = "occurred_at,code,station,badge\n"
LOG = "piece,white\n"


class Screen:
    """A terminal on which bars are drawn."""

    def __init__(self) -> None:
        self.drawn = io.StringIO()

    def __call__(self) -> Console:
        return Console(file=self.drawn, force_terminal=True, width=80)

    @property
    def text(self) -> str:
        return self.drawn.getvalue()


@pytest.fixture
def screen(monkeypatch: pytest.MonkeyPatch) -> Screen:
    screen = Screen()
    monkeypatch.setattr(progress, "screen", screen)
    return screen


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    desk = Desk(tmp_path)
    desk.job()
    return desk


def written(desk: Desk) -> str:
    """Five lines on paper: two good reads, and three that miss a step."""
    one, other, third = (each["piece"] for each in desk.json("job", "show", "J0001")["walks"])
    good = [f"2026-11-23T09:0{n}:00,{piece},pretreat booth,A" for n, piece in enumerate((one, other))]
    bad = [f"2026-11-23T10:0{n}:00,{piece},packing,A" for n, piece in enumerate((one, other, third))]
    return HEAD + "\n".join([*good, *bad]) + "\n"


LONG = {
    "check": "reading",
    "report": "reading",
    "backup": "copying",
    "move": "copying",
    "restore": "verifying",
    "tickets": "drawing",
    "backfill": "recording",
    "ink import": "reading",
}


def run(desk: Desk, work: str) -> None:
    """One of the long works; nobody looks at whether it is done well."""
    backup = desk.folder / "kept.db"
    words: dict[str, tuple[str, ...]] = {
        "check": ("check",),
        "report": ("report", "--week", "2026-W48"),
        "backup": ("backup", str(backup)),
        "move": ("move", "--to", "sqlite:///elsewhere.db"),
        "restore": ("restore", str(backup), "--yes"),
        "tickets": ("tickets", "J0001", "-o", str(desk.folder / "t.pdf")),
        "backfill": ("backfill", "-"),
        "ink import": ("ink", "import", "-"),
    }
    if work == "restore":
        desk("backup", str(backup))
    desk(*words[work], stdin=written(desk) if work == "backfill" else LOG)


@pytest.mark.parametrize("work", LONG)
def test_long_work_shows_how_far_it_is(desk: Desk, screen: Screen, work: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(paper, "AT_ONCE", 2)
    run(desk, work)
    assert LONG[work] in screen.text


def test_a_few_tickets_are_drawn_without_a_bar(desk: Desk, screen: Screen) -> None:
    run(desk, "tickets")
    assert screen.text == ""


@pytest.mark.parametrize("work", [("check",), ("report", "--week", "2026-W48"), ("backup", "KEPT")])
def test_nothing_is_drawn_in_a_pipe(desk: Desk, work: tuple[str, ...]) -> None:
    result = desk(*(str(desk.folder / "kept.db") if word == "KEPT" else word for word in work))
    assert result.exit_code == 0
    assert "━" not in result.output
    assert "\x1b" not in result.output


def test_a_second_pass_goes_on_where_the_first_ended() -> None:
    screen = Screen()
    with progress.bar("copying", 10, screen(), passes=2) as step:
        for done in (5, 10, 5):
            step(done)
    assert "75%" in screen.text
    assert "100%" not in screen.text


def test_written_scans_are_summed_up_and_each_reason_is_told_once(desk: Desk) -> None:
    result = desk("backfill", "-", stdin=written(desk))
    assert result.exit_code == 1
    assert [line.split(":")[0] for line in result.stdout.splitlines()] == ["line 4", "2 accepted, 3 refused."]


def test_each_written_scan_is_printed_to_whom_asks(desk: Desk) -> None:
    result = desk("backfill", "-", "--each", stdin=written(desk))
    assert [line.split(":")[0] for line in result.stdout.splitlines()] == [
        *(f"line {number}" for number in range(2, 7)),
        "2 accepted, 3 refused.",
    ]
