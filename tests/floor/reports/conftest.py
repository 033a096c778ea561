"""The reports that the tests print once and read often are closed when all have been read."""

from collections.abc import Iterator

import pytest

from tests.floor.reports.test_pdf import on_paper


@pytest.fixture(autouse=True, scope="package")
def papers() -> Iterator[None]:
    yield
    on_paper.cache_clear()
