"""What bars and QR add to the time that a thousand travellers take: a ratio, measured in one run.

Run it: python -m tests.bench.bench_tickets, or pytest -m bench tests/bench/bench_tickets.py
"""

import json
import time
from collections.abc import Callable
from io import BytesIO
from unittest.mock import patch

import pytest

from tests.tickets.samples import ticket
from tickets.kit import barcode
from tickets.kit.paper import PAPERS
from tickets.traveller import travellers

PIECES = 1000
MOST = 1.5


def ratio(pieces: int = PIECES, rounds: int = 5) -> dict[str, float]:
    """Seconds of processor time for travellers with their symbols, and for the same without bars and QR.

    The best of some rounds that take turns, so that what else the machine does weighs on both alike.
    """
    tickets = [ticket(n, number=n, of=pieces) for n in range(1, pieces + 1)]

    def with_bars() -> None:
        travellers(tickets, PAPERS["label-100x150"], BytesIO())

    def without_bars() -> None:
        with patch.object(barcode, "bars", _nothing), patch.object(barcode, "qr", _nothing):
            with_bars()

    timed = [(_seconds(with_bars), _seconds(without_bars)) for _ in range(rounds)]
    with_s, without_s = (min(times) for times in zip(*timed, strict=True))
    return {"pieces": pieces, "with_bars_s": with_s, "without_bars_s": without_s, "ratio": with_s / without_s}


def _nothing(*_: object) -> None:
    """Draws nothing, and takes no time to speak of: a mock would."""


def _seconds(task: Callable[[], None]) -> float:
    start = time.process_time()
    task()
    return time.process_time() - start


@pytest.mark.bench
def test_bars_add_no_more_than_half_to_the_time_of_a_ticket() -> None:
    assert ratio()["ratio"] <= MOST


if __name__ == "__main__":
    print(json.dumps(ratio(), indent=2))
