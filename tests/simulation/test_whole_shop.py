"""A thousand days of a whole shop, each with its own misfortunes."""

import pytest

from tests.simulation.world import World

SEEDS = 1_000
BATCH = 50


@pytest.mark.fault
@pytest.mark.parametrize("first", range(0, SEEDS, BATCH))
def test_no_misfortune_between_scanner_and_ledger_loses_or_doubles_a_read(first: int) -> None:
    for seed in range(first, first + BATCH):
        try:
            World(seed).play()
        except BaseException as error:
            raise AssertionError(f"replay it with: python -m tests.simulation --seed {seed}") from error
