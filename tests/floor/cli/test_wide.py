"""Tables are as wide as the terminal, and whole in a pipe."""

from pathlib import Path

import pytest
from rich.console import Console

from floor.cli import tables
from tests.floor.cli.desk import JOB, Desk

LONG = "Regatta of the four harbours, spring meeting, first boats and their crews, north"
"""As long as a name may be."""


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    desk = Desk(tmp_path)
    job = JOB.replace("Harbour rowing club", LONG).replace('"oars"', f'"{LONG}"')
    desk.walk(desk.json("job", "add", "-", stdin=job)["pieces"][0])
    desk.rewrite('"heavy tee"', f'"{LONG}"')
    desk.rewrite('"press 1"', f'"press {LONG[:70]}"')
    desk("stock", "receive", LONG, "--colour", "navy", "--size", "M", "--quantity", "5", "--cost-each", "2.60")
    return desk


WHOLE = [("job", "list"), ("job", "show", "J0001"), ("stock",), ("board",), ("report", "--week", "2026-W48")]


@pytest.mark.parametrize("words", WHOLE, ids=" ".join)
def test_nothing_is_cut_or_wrapped_in_a_pipe(desk: Desk, words: tuple[str, ...]) -> None:
    result = desk(*words)
    assert result.exit_code == 0, result.output
    assert "…" not in result.stdout
    assert all(line == line.rstrip() or len(line) < 500 for line in result.stdout.splitlines())
    if words[0] not in {"board", "report"}:
        assert LONG in result.stdout


@pytest.mark.parametrize("columns", [60, 140])
def test_a_table_is_as_wide_as_the_terminal_and_no_wider(
    desk: Desk, columns: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn = Console(width=columns, force_terminal=True, record=True, highlight=False)
    monkeypatch.setattr(tables, "_console", lambda: drawn)
    for words in WHOLE:
        assert desk(*words).exit_code == 0
    widths = [len(line.rstrip()) for line in drawn.export_text().splitlines()]
    assert max(widths) <= columns
    assert max(widths) > columns - 20
