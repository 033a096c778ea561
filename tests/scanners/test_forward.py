"""From the spool to the floor: in order, until it is answered, whatever becomes of floor, bench, network or clock."""

import errno
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from queue import Queue

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scanners.aside import Aside
from scanners.forward import FIRST_PAUSE_S, LONGEST_PAUSE_S, pause_s
from scanners.post import Answered, Barred, Malformed, Reply, Tripped, Unreached
from shared.delivery import READS_MAX, Delivery
from tests.measured import WAIT_S
from tests.scanners.remote_rig import GONE, Way, accepted, quick_folder, read, reads
from tests.scanners.rig import NOON


@pytest.fixture
def way() -> Iterator[Way]:
    with quick_folder() as folder:
        way = Way(folder)
        yield way
        way.close()


def ids(*numbers: int) -> list[str]:
    return [read(n).read_id for n in numbers]


# Delivering


def test_what_is_kept_is_delivered_in_order_and_cleared(way: Way) -> None:
    way.keep(1, 2, 3)
    assert way.until_idle() == [0.0]
    assert way.floor.ids == [ids(1, 2, 3)]
    assert reads(way.spool) == []


def test_a_delivery_tells_all_that_the_scan_did(way: Way) -> None:
    way.keep(1)
    way.watch.pass_s(30)
    way.until_idle()
    scan = read(1)
    (delivery,) = way.floor.came[0]
    assert delivery == Delivery(
        read_id=scan.read_id, text=scan.text, at=scan.at, age_s=30.0, device=scan.device, station=scan.station
    )


def test_every_answer_is_told_once(way: Way) -> None:
    way.keep(1, 2)
    way.until_idle()
    assert way.told.all == [("reached",), *(("answer", id, "accepted") for id in ids(1, 2))]


def test_with_nothing_to_deliver_the_floor_is_left_alone(way: Way) -> None:
    assert way.forwarder.step() is None
    assert way.floor.came == []


def test_many_reads_go_a_hundred_at_a_time(way: Way) -> None:
    way.keep(*range(250))
    way.until_idle()
    assert [len(request) for request in way.floor.came] == [100, 100, 50]


def test_what_the_floor_did_not_get_to_is_sent_again(way: Way) -> None:
    way.keep(1, 2, 3)
    way.floor.next = [Answered(accepted([Delivery(read_id=ids(1)[0], text="1", at=NOON, device="gun")]).receipts)]
    way.until_idle()
    assert way.floor.ids == [ids(1, 2, 3), ids(2, 3)]


# The floor is not there


def test_while_the_floor_is_not_reached_all_is_kept_and_sent_again_under_the_same_ids(way: Way) -> None:
    way.keep(1, 2)
    way.floor.next = [GONE, GONE, GONE]
    way.until_idle()
    assert way.floor.ids == [ids(1, 2)] * 4
    assert reads(way.spool) == []


def test_the_pauses_grow_from_half_a_second_to_half_a_minute(way: Way) -> None:
    way.keep(1)
    way.floor.next = [GONE] * 9
    assert way.until_idle() == [0.5, 1, 2, 4, 8, 16, 30, 30, 30, 0]


def test_after_an_answer_the_pauses_begin_anew(way: Way) -> None:
    way.floor.next = [GONE, GONE, GONE]
    way.keep(1)
    way.until_idle()
    way.keep(2)
    way.floor.next = [GONE]
    assert way.until_idle() == [0.5, 0]


@given(st.integers(0, 10_000), st.floats(0, 1, exclude_max=True))
def test_luck_shortens_a_pause_by_half_at_most(failures: int, luck: float) -> None:
    assert FIRST_PAUSE_S / 2 <= pause_s(failures, luck) <= LONGEST_PAUSE_S
    assert pause_s(failures, 0.0) / 2 <= pause_s(failures, luck) <= pause_s(failures, 0.0)


def test_a_floor_that_asks_for_time_gets_it(way: Way) -> None:
    way.keep(1)
    way.floor.next = [Unreached("busy", 20.0), Unreached("busy", 900.0)]
    assert way.until_idle() == [20.0, LONGEST_PAUSE_S, 0.0]


def test_an_outage_is_told_once_and_so_is_its_end(way: Way) -> None:
    way.keep(1)
    way.floor.next = [GONE, GONE, Unreached("another reason"), GONE]
    way.until_idle()
    assert way.told.kinds() == ["unreached", "unreached", "unreached", "reached", "answer"]


def test_days_of_outage_and_a_reboot_lose_nothing_and_change_no_order(way: Way) -> None:
    way.floor.next = [GONE] * 3
    for day in range(3):
        way.keep(*range(day * 100, day * 100 + 100))
        way.forwarder.step()
        way.watch.pass_s(86_400)
    way.close()
    way.watch.reboot(off_s=3_600)
    way.open()
    way.until_idle()
    came = [delivery for request in way.floor.came[3:] for delivery in request]
    assert [delivery.read_id for delivery in came] == ids(*range(300))
    assert [came[n].age_s for n in (0, 100, 200)] == [3 * 86_400 + 3_600, 2 * 86_400 + 3_600, 86_400 + 3_600]


# What the floor never takes


def test_a_malformed_read_is_set_aside_with_the_floors_words_and_the_rest_goes_on(way: Way) -> None:
    way.floor.judge = _malformed_with(ids(3)[0])
    way.keep(1, 2, 3, 4, 5)
    way.until_idle()
    assert [what for what in way.told.all if what[0] == "set aside"] == [("set aside", ids(3)[0], "no good")]
    assert [what[1] for what in way.told.all if what[0] == "answer"] == ids(1, 2, 4, 5)
    assert reads(way.spool) == []
    assert ids(3)[0] in way.path.with_name("bench.spool.bad").read_text()


@given(st.sets(st.integers(0, 29)))
def test_any_number_of_malformed_reads_keeps_no_other_from_the_floor(bad: set[int]) -> None:
    with quick_folder() as folder:
        way = Way(folder)
        way.floor.judge = _malformed_with(*ids(*bad))
        way.keep(*range(30))
        way.until_idle()
        answered = [what[1] for what in way.told.all if what[0] == "answer"]
        assert answered == ids(*(n for n in range(30) if n not in bad))
        assert {what[1] for what in way.told.all if what[0] == "set aside"} == set(ids(*bad))
        way.close()


def test_after_a_malformed_read_the_others_soon_go_together_again(way: Way) -> None:
    way.floor.judge = _malformed_with(ids(0)[0])
    way.keep(*range(1_000))
    way.until_idle()
    assert max(map(len, way.floor.came[3:])) == READS_MAX


@pytest.mark.fault
def test_a_read_that_cannot_be_set_aside_now_is_not_lost(way: Way, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    way.floor.judge = _malformed_with(ids(1)[0])
    way.keep(1)
    with monkeypatch.context() as patch:
        patch.setattr(Aside, "add", full)
        assert way.forwarder.step() == FIRST_PAUSE_S
    assert reads(way.spool) == [read(1)]
    way.until_idle()
    assert reads(way.spool) == []
    assert [kind for kind in way.told.kinds() if kind == "set aside"] == ["set aside"]


def _malformed_with(*bad: str) -> Callable[[Sequence[Delivery]], Reply]:
    def judge(deliveries: Sequence[Delivery]) -> Reply:
        return Malformed("no good") if {each.read_id for each in deliveries} & set(bad) else accepted(deliveries)

    return judge


# What the floor stumbles over


def test_a_read_over_which_the_floor_stumbles_lets_all_others_pass(way: Way) -> None:
    way.floor.judge = _tripped_by(ids(2)[0])
    way.keep(1, 2, 3, 4)
    for _ in range(10):
        way.forwarder.step()
    assert [what[1] for what in way.told.all if what[0] == "answer"] == ids(1, 3, 4)
    assert reads(way.spool) == [read(2)]


def test_it_is_tried_again_ever_more_rarely_until_the_floor_is_mended(way: Way) -> None:
    way.floor.judge = _tripped_by(ids(1)[0])
    way.keep(1)
    pauses = [way.forwarder.step() for _ in range(20)]
    assert pauses == [0.0, 0.5, 0.0, 1, 0.0, 2, 0.0, 4, 0.0, 8, 0.0, 16, 0.0, 30, 0.0, 30, 0.0, 30, 0.0, 30]
    way.floor.judge = accepted
    way.until_idle()
    assert reads(way.spool) == []


def test_meanwhile_operators_still_get_the_floors_own_answers(way: Way) -> None:
    way.floor.judge = _tripped_by(ids(1)[0])
    way.keep(1)
    way.forwarder.step()
    assert not way.forwarder.failing


def _tripped_by(bad: str) -> Callable[[Sequence[Delivery]], Reply]:
    def judge(deliveries: Sequence[Delivery]) -> Reply:
        return Tripped("a mistake") if bad in {each.read_id for each in deliveries} else accepted(deliveries)

    return judge


# A token that does not count


def test_a_barred_bench_keeps_everything_and_says_so_once(way: Way) -> None:
    way.keep(1, 2)
    way.floor.next = [Barred("no such token")] * 3
    assert [way.forwarder.step() for _ in range(3)] == [LONGEST_PAUSE_S] * 3
    assert reads(way.spool) == [read(1), read(2)]
    assert way.told.all == [("unreached", "no such token")]


# A clock that is wrong


@pytest.mark.parametrize("moment", [datetime(1970, 1, 1, tzinfo=UTC), NOON + timedelta(hours=5), NOON])
def test_the_age_of_a_read_does_not_depend_on_the_clock(way: Way, moment: datetime) -> None:
    way.keep(1)
    way.floor.next = [GONE]
    way.forwarder.step()
    way.watch.pass_s(600)
    way.watch.set(moment)
    way.until_idle()
    assert [request[0].age_s for request in way.floor.came] == [0, 600]


# On its thread


def test_a_read_is_delivered_as_soon_as_the_forwarder_is_woken(way: Way) -> None:
    came: Queue[str] = Queue()

    def judge(deliveries: Sequence[Delivery]) -> Reply:
        came.put(deliveries[0].read_id)
        return accepted(deliveries)

    way.floor.judge = judge
    way.forwarder.start()
    for n in range(3):
        way.keep(n)
        way.forwarder.wake()
        assert came.get(timeout=WAIT_S) == read(n).read_id
    assert way.forwarder.stop(WAIT_S)


def test_a_forwarder_in_a_long_pause_stops_at_once(way: Way) -> None:
    came: Queue[None] = Queue()

    def judge(_: Sequence[Delivery]) -> Reply:
        came.put(None)
        return Unreached("busy", LONGEST_PAUSE_S)

    way.floor.judge = judge
    way.keep(1)
    way.forwarder.start()
    came.get(timeout=WAIT_S)
    assert way.forwarder.stop(2.0)


def test_a_forwarder_that_never_started_can_be_stopped(tmp_path: Path) -> None:
    way = Way(tmp_path)
    assert way.forwarder.stop()
    way.close()
