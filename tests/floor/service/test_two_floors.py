"""Several floors on one ledger: what one of them accepts, the others know before they decide."""

import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from datetime import timedelta
from pathlib import Path

import pytest

from floor.core.folds.fold import fold_all
from floor.ledger import make_ledger
from floor.service.service import Service
from shared.clock import SetClock
from shared.files.jobfile import parse_job
from shared.scan import Answer, Scan
from tests.making import MONDAY, job_data, shop
from tests.measured import WAIT_S

PIECES = 30


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def floors(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[Service, Service]]:
    """Two floors, each with connections of its own, as two machines would have."""
    sqlite = f"sqlite:///{tmp_path / 'ledger.db'}"
    url = sqlite if request.param == "sqlite" else request.getfixturevalue("postgres_url")
    with ExitStack() as stack:
        one, other = (stack.enter_context(_floor(url, stack)) for _ in range(2))
        yield one, other


def _floor(url: str, stack: ExitStack) -> Service:
    ledger = make_ledger(url)
    stack.callback(ledger.close)
    return Service(shop(), ledger, SetClock(MONDAY))


def read(piece: str, read_id: str, after_s: float) -> Scan:
    at = MONDAY + timedelta(seconds=after_s)
    return Scan(read_id=read_id, text=piece, at=at, device="gun", station="pretreat booth")


def test_a_piece_scanned_at_two_floors_at_once_is_accepted_once(floors: tuple[Service, Service]) -> None:
    pieces = floors[0].take(parse_job(job_data(sizes={"M": PIECES}), shop())).pieces
    together = threading.Barrier(2)

    def scan_all(number: int) -> list[Answer]:
        answers = []
        for n, piece in enumerate(pieces):
            together.wait(WAIT_S)
            answers.append(floors[number].scan(read(piece, f"{number}-{n}", 60 + 10 * n + 5 * number)))
        return answers

    with ThreadPoolExecutor(2) as hands:
        one, other = hands.map(scan_all, range(2))
    for mine, theirs in zip(one, other, strict=True):
        assert sorted((mine.outcome, theirs.outcome)) == ["accepted", "refused"]


def test_both_floors_come_to_the_same_state_without_a_hole_in_the_ledger(floors: tuple[Service, Service]) -> None:
    one, other = floors
    pieces = one.take(parse_job(job_data(sizes={"M": 4}), shop())).pieces
    for n, piece in enumerate(pieces):
        (one if n % 2 else other).scan(read(piece, str(n), 60 + 10 * n))
    states = []
    for floor in floors:
        floor.record(lambda _floor: ((), None))  # the next work, even an empty one, brings what the other did
        with floor.reading() as state:
            states.append((state.seq, {code: piece.position for code, piece in state.pieces.items()}))
    assert states[0] == states[1]
    rows = list(one._ledger.rows())
    assert [row.seq for row in rows] == list(range(1, len(rows) + 1))
    assert fold_all(rows).seq == states[0][0]
