"""A floor for each test."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.floor.web import rig
from tests.floor.web.visitor import locked
from tests.measured import WAIT_S


@pytest.fixture(autouse=True)
def _soon_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    """A floor looks once a second whether it should end; a test need not wait for that."""
    monkeypatch.setattr("floor.service.service.NEWS_S", 0.02)


@pytest.fixture(autouse=True)
def _patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """A floor is not ready that takes two seconds for a write; a busy machine may take them all the same."""
    monkeypatch.setattr("floor.web.health.READY_WITHIN_S", WAIT_S)


@pytest.fixture
def house(tmp_path: Path) -> Iterator[rig.House]:
    with rig.house(tmp_path) as house:
        yield house


@pytest.fixture(scope="module")
def shut(tmp_path_factory: pytest.TempPathFactory) -> Iterator[rig.House]:
    """A floor whose every role has a password: the same for all tests of a file."""
    with locked(tmp_path_factory.mktemp("shop")) as house:
        yield house
