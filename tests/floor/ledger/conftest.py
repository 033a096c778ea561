"""A ledger of each kind."""

from collections.abc import Callable, Iterator

import pytest

from floor.ledger import Ledger, MemoryLedger, Writer, make_ledger
from tests.floor.ledger.facts import Tally, noon
from tests.floor.ledger.gate import GatedLedger

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
    opened: Ledger = MemoryLedger() if request.param == "memory" else make_ledger(_url(request.param, request))
    yield opened
    opened.close()


@pytest.fixture
def opened() -> Iterator[Callable[[str], Ledger]]:
    """Opens a ledger by its address, and closes it after the test."""
    ledgers: list[Ledger] = []

    def open_one(url: str) -> Ledger:
        ledgers.append(make_ledger(url))
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
