"""What a command costs that needs none of the machinery: nothing of it is imported."""

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from floor.cli.lazy import LazyGroup, Placed
from floor.cli.main import main
from floor.cli.opening import Folder
from shared.clock import SetClock
from tests.floor.cli.desk import JOB, Desk
from tests.making import MONDAY

HEAVY = {
    *("alembic", "apscheduler", "babel", "jinja2", "msgspec", "numpy", "PIL", "pydantic", "reportlab", "rich"),
    *("serial", "simpy", "sqlalchemy", "starlette", "tomlkit", "uvicorn", "xlsxwriter"),
}
NO_SHOP = Folder(Path("no such shop"), SetClock(MONDAY))
HEADINGS = ["Set up", "Jobs", "Floor", "Cost and ink", "Week", "Keep"]
IMPORTED = """
import json, sys
from floor.cli.main import main
try:
    main(sys.argv[1:], prog_name="piecewalk")
finally:
    json.dump(sorted({name.partition(".")[0] for name in sys.modules}), sys.stderr)
"""


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    desk = Desk(tmp_path)
    desk("job", "add", "-", stdin=JOB)
    return desk


def imported(*words: str, **environment: str) -> tuple[str, set[str]]:
    """What a command says, and the top packages that its process imported."""
    command = [sys.executable, "-c", IMPORTED, *words]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    return done.stdout, set(json.loads(done.stderr.splitlines()[-1]))


def completion(typed: str) -> tuple[str, set[str]]:
    """What a shell is told of words after `piecewalk`, and the top packages that were imported for it."""
    words = f"piecewalk {typed}"
    return imported(_PIECEWALK_COMPLETE="bash_complete", COMP_WORDS=words, COMP_CWORD=str(len(words.split(" ")) - 1))


GROUPS = ["access", "bench", "job", "ink", "lot"]


@pytest.mark.parametrize("words", [("--version",), ("--help",), ("-h",), *((group, "--help") for group in GROUPS)])
def test_what_needs_no_shop_imports_nothing_of_one(words: tuple[str, ...]) -> None:
    said, packages = imported(*words)
    assert "piecewalk" in said.casefold()
    assert packages & HEAVY == set()


@pytest.mark.parametrize(("typed", "word"), [("ti", "tickets"), ("job l", "list"), ("ink im", "import")])
def test_completing_a_command_imports_nothing_of_it(typed: str, word: str) -> None:
    said, packages = completion(typed)
    assert said == f"plain,{word}\n"
    assert packages & HEAVY == set()


def test_a_command_is_imported_when_it_is_called() -> None:
    said, packages = imported("board", "--help")
    assert "--at" in said
    assert {"rich", "pydantic"} <= packages


NO_DATABASE = {"alembic", "sqlalchemy"}
AT_A_DESK = {"babel", "msgspec", "pydantic", "rich", "tomlkit"} | NO_DATABASE
"""What an answer in a terminal may take: the shop file, the ledger, the words; no paper, page, picture or timer."""


@pytest.mark.parametrize(
    "words",
    [
        ("access", "list"),
        ("bench", "list"),
        *((*words, "--help") for words in [("job", "list"), ("board",), ("check",), ("tickets",), ("lot", "list")]),
    ],
)
def test_no_database_is_loaded_where_no_ledger_is_opened(desk: Desk, words: tuple[str, ...]) -> None:
    _, packages = imported("--shop", str(desk.shop), *words)
    assert packages & NO_DATABASE == set()


@pytest.mark.parametrize("typed", ["job show J", "piece 1", "scan --station p", "stock receive "])
def test_no_database_is_loaded_to_complete_a_name(desk: Desk, typed: str) -> None:
    said, packages = completion(f"--shop {desk.shop} {typed}")
    assert said.startswith("plain,")
    assert packages & NO_DATABASE == set()


@pytest.mark.parametrize("words", [("job", "list"), ("job", "show", "J0001"), ("board",), ("lot", "list")])
def test_a_look_at_the_floor_loads_nothing_that_draws_serves_or_waits(desk: Desk, words: tuple[str, ...]) -> None:
    _, packages = imported("--shop", str(desk.shop), *words)
    assert "sqlalchemy" in packages  # it did open the ledger
    assert packages & HEAVY <= AT_A_DESK


def placed_in(group: LazyGroup) -> Iterator[tuple[str, Placed, click.Command]]:
    """Every command of a group and of the groups in it, as it was placed and as it is."""
    for name, placed in group.commands.items():
        assert isinstance(placed, Placed)
        command = placed.loaded()
        yield name, placed, command
        if isinstance(command, LazyGroup):
            yield from placed_in(command)


def test_the_list_says_of_each_command_what_its_own_help_begins_with() -> None:
    assert isinstance(main, LazyGroup)
    for name, placed, command in placed_in(main):
        assert command.name == name
        assert placed.get_short_help_str(200) == command.get_short_help_str(200)
        assert placed.get_short_help_str(200)


def test_commands_stand_under_headings() -> None:
    lines = CliRunner().invoke(main, ["--help"], obj=NO_SHOP).stdout.splitlines()
    assert [line.rstrip(":") for line in lines if line.rstrip(":") in HEADINGS] == HEADINGS
    under = {heading: lines.index(f"{heading}:") for heading in HEADINGS}
    listed = [line.split()[0] for line in lines[under["Set up"] :] if line.startswith("  ")]
    assert listed[:-1] == [*main.commands]  # the last line is the epilogue
    assert "  report " in lines[under["Week"] + 1]


def test_a_slip_of_the_pen_in_a_command_is_told() -> None:
    result = CliRunner().invoke(main, ["tickts"], obj=NO_SHOP)
    assert result.exit_code == 2
    assert "No such command 'tickts'" in result.stderr
