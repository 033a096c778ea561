"""What an operator at a remote bench hears, and when."""

from collections.abc import Iterator, Sequence
from queue import Queue
from threading import Event, Thread

import pytest

from scanners.bench import CANNOT_BE_TAKEN, KEPT, Bench
from scanners.post import Malformed, Reply
from scanners.spool import Spool, SpoolFull
from shared.delivery import Delivery
from shared.scan import Answer, Scan
from tests.measured import WAIT_S
from tests.scanners.remote_rig import GONE, Floor, Told, Watch, quick_folder, read, reads
from tests.scanners.rig import ACCEPTED


class Place:
    """A bench with a floor that can be told to wait."""

    def __init__(self, spool: Spool, answer_within_s: float) -> None:
        self.spool, self.floor, self.told = spool, Floor(), Told()
        self.may_answer = Event()
        self.may_answer.set()
        self.asked: Queue[list[str]] = Queue()
        self.bench = Bench(spool, self._post, Watch(), self.told.notices, answer_within_s)
        self.bench.start()

    def _post(self, deliveries: Sequence[Delivery]) -> Reply:
        self.asked.put([each.read_id for each in deliveries])
        assert self.may_answer.wait(WAIT_S)
        return self.floor(deliveries)

    def handle_aside(self, scan: Scan) -> "Queue[Answer]":
        """Hand in a read as a listener does, on a thread of its own; where the answer will be."""
        answers: Queue[Answer] = Queue()
        Thread(target=lambda: answers.put(self.bench.handle(scan)), daemon=True).start()
        return answers


@pytest.fixture
def spool() -> Iterator[Spool]:
    with quick_folder() as folder, Spool(folder / "spool", Watch(), reads_max=3) as spool:
        yield spool


@pytest.fixture
def place(spool: Spool) -> Iterator[Place]:
    place = Place(spool, WAIT_S)
    yield place
    place.may_answer.set()
    place.bench.stop(WAIT_S)


def test_the_operator_hears_the_floors_own_answer_when_it_comes_in_time(place: Place) -> None:
    assert place.bench.handle(read(1)) == ACCEPTED
    assert reads(place.spool) == []


def test_a_read_is_in_the_spool_before_it_is_sent(place: Place) -> None:
    place.may_answer.clear()
    answers = place.handle_aside(read(1))
    assert place.asked.get(timeout=WAIT_S) == [read(1).read_id]
    assert reads(place.spool) == [read(1)]
    place.may_answer.set()
    assert answers.get(timeout=WAIT_S) == ACCEPTED


def test_when_the_floor_takes_its_time_the_operator_hears_that_the_read_is_kept(spool: Spool) -> None:
    place = Place(spool, answer_within_s=0.02)
    place.may_answer.clear()
    assert place.bench.handle(read(1)) == KEPT
    assert reads(spool) == [read(1)]
    place.may_answer.set()
    place.bench.stop(WAIT_S)


def test_who_waits_when_the_floor_turns_out_to_be_away_is_told_at_once(place: Place) -> None:
    place.floor.next = [GONE]
    assert place.bench.handle(read(1)) == KEPT


def test_while_the_floor_is_away_nobody_waits_for_it(place: Place) -> None:
    place.floor.judge = lambda _: GONE
    place.bench.handle(read(1))
    assert [place.bench.handle(read(n)) for n in (2, 3)] == [KEPT, KEPT]


def test_kept_is_good_news_and_full_is_bad(place: Place) -> None:
    assert KEPT.good
    place.floor.judge = lambda _: GONE
    for n in range(3):
        place.bench.handle(read(n))
    with pytest.raises(SpoolFull):
        place.bench.handle(read(3))


def test_a_read_that_the_floor_can_never_take_is_refused(place: Place) -> None:
    place.floor.next = [Malformed("no good")]
    assert place.bench.handle(read(1)) == CANNOT_BE_TAKEN
    assert not CANNOT_BE_TAKEN.good


def test_every_operator_gets_the_answer_to_their_own_read(place: Place) -> None:
    place.may_answer.clear()
    waiting = [place.handle_aside(read(n)) for n in range(3)]
    place.may_answer.set()
    for answers in waiting:
        assert answers.get(timeout=WAIT_S) == ACCEPTED
    assert sorted(what[1] for what in place.told.all if what[0] == "answer") == [read(n).read_id for n in range(3)]


def test_when_the_bench_stops_nobody_is_kept_waiting_and_nothing_is_lost(place: Place) -> None:
    place.may_answer.clear()
    answers = place.handle_aside(read(1))
    place.asked.get(timeout=WAIT_S)
    place.bench.stop(0.01)
    assert answers.get(timeout=WAIT_S) == KEPT
    assert place.bench.handle(read(2)) == KEPT
    assert reads(place.spool) == [read(1), read(2)]
