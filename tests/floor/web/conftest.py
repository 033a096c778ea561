"""A floor for each test."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.floor.web import rig


@pytest.fixture
def house(tmp_path: Path) -> Iterator[rig.House]:
    with rig.house(tmp_path) as house:
        yield house
