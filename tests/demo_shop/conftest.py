"""One day of the demo, played once by the command and once by its parts, for all tests to look at."""

import json
from contextlib import redirect_stdout
from datetime import UTC, datetime
from io import StringIO
from typing import Any

import pytest
from msgspec import Struct
from rich.console import Console

from demo_shop.scene import Scene
from demo_shop.staging import Outcome, perform
from floor.cli.main import main
from floor.cli.opening import Folder
from floor.core.state.floor import Floor
from shared.clock import SetClock
from shared.events.recorded import Recorded
from shared.files.shop import Shop

SEED = 7
LATER = datetime(2026, 12, 1, 9, 0, tzinfo=UTC)
"""When somebody looks at what the day has left: weeks after it."""


class PlayedDay(Struct, frozen=True):
    """A day that is over: the ledger it left, and what the command answered."""

    folder: Folder
    rows: tuple[Recorded, ...]
    floor: Floor
    answer: dict[str, Any]

    @property
    def shop(self) -> Shop:
        """Whose day it was."""
        return self.folder.shop


def rows_of(folder: Folder) -> tuple[Recorded, ...]:
    """Every row of a shop's ledger."""
    with folder.ledger() as ledger:
        return tuple(ledger.rows())


@pytest.fixture(scope="session")
def day(tmp_path_factory: pytest.TempPathFactory) -> PlayedDay:
    """The day of `piecewalk demo --fast --json`."""
    path = tmp_path_factory.mktemp("demo") / "shop"
    said = StringIO()
    words = ["demo", "--fast", "--json", "--seed", str(SEED), "--keep", str(path)]
    with redirect_stdout(said), pytest.raises(SystemExit) as end:
        main.main(args=words, standalone_mode=False)
    assert end.value.code == 0, said.getvalue()
    folder = Folder(path, SetClock(LATER))
    return PlayedDay(folder, rows_of(folder), folder.floor(), json.loads(said.getvalue()))


class Again(Struct, frozen=True):
    """The same day, played before an audience, and what was to be seen."""

    outcome: Outcome
    rows: tuple[Recorded, ...]
    seen: str


@pytest.fixture(scope="session")
def again(tmp_path_factory: pytest.TempPathFactory) -> Again:
    """The same seed, with pictures of the wall."""
    console = Console(width=100, height=30, no_color=True, file=StringIO(), force_terminal=False)
    outcome = perform(tmp_path_factory.mktemp("again") / "shop", SEED, Scene(console, moving=False))
    assert isinstance(console.file, StringIO)
    return Again(outcome, rows_of(outcome.folder), console.file.getvalue())
