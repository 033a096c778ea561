"""What a command costs that needs none of the machinery: nothing of it is imported."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from floor.cli.lazy import Placed
from floor.cli.main import main
from floor.cli.opening import Folder
from shared.clock import SetClock
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


def imported(*words: str, **environment: str) -> tuple[str, set[str]]:
    """What a command says, and the top packages that its process imported."""
    command = [sys.executable, "-c", IMPORTED, *words]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    return done.stdout, set(json.loads(done.stderr))


@pytest.mark.parametrize("words", [("--version",), ("--help",), ("-h",)])
def test_what_needs_no_shop_imports_nothing_of_one(words: tuple[str, ...]) -> None:
    said, packages = imported(*words)
    assert "piecewalk" in said.casefold()
    assert packages & HEAVY == set()


def test_completing_a_command_imports_nothing_of_it() -> None:
    asked = {"_PIECEWALK_COMPLETE": "bash_complete", "COMP_WORDS": "piecewalk ti", "COMP_CWORD": "1"}
    said, packages = imported(**asked)
    assert said == "plain,tickets\n"
    assert packages & HEAVY == set()


def test_a_command_is_imported_when_it_is_called() -> None:
    said, packages = imported("board", "--help")
    assert "--at" in said
    assert {"sqlalchemy", "pydantic"} <= packages


def test_the_list_says_of_each_command_what_its_own_help_begins_with() -> None:
    for name, placed in main.commands.items():
        assert isinstance(placed, Placed)
        command = placed.loaded()
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
