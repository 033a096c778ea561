"""One scanner, listened to, whatever its wire does."""

import threading
from collections.abc import Iterator, Sequence

import pytest

from scanners.framing import Framer
from scanners.listener import NOT_RECORDED, Callbacks, Listener, Listeners
from shared.scan import Answer, Scan
from tests.measured import WAIT_S, assert_within, seconds
from tests.scanners.rig import ACCEPTED, NOON, Bench, QueueWire

CODE = b"1000000137\r"


class Cupboard:
    """Hands out wires that were laid in it, one for each time that one is opened; then there are none."""

    def __init__(self, *wires: QueueWire | Exception) -> None:
        self.opened = 0
        self._wires = list(wires)

    def __call__(self) -> QueueWire:
        self.opened += 1
        wire = self._wires.pop(0) if self._wires else FileNotFoundError("no such scanner")
        if isinstance(wire, Exception):
            raise wire
        return wire


class Crew:
    """Starts listeners for a test and stops them all after it."""

    def __init__(self) -> None:
        self.listeners: list[Listener] = []

    def listen(self, bench: Bench, *wires: QueueWire | Exception, back_off_s: Sequence[float] = (0.001,)) -> Listener:
        listener = Listener(
            "press gun", Cupboard(*wires), bench.callbacks, bench.clock, station="press 1", back_off_s=back_off_s
        )
        self.listeners.append(listener)
        listener.start()
        return listener


@pytest.fixture
def crew() -> Iterator[Crew]:
    crew = Crew()
    yield crew
    assert Listeners(crew.listeners).stop(WAIT_S) == []


def test_a_read_becomes_a_scan_that_says_where_and_when(crew: Crew) -> None:
    bench, wire = Bench(), QueueWire()
    crew.listen(bench, wire)
    wire.coming.put(CODE)
    scan = bench.scan()
    assert (scan.text, scan.device, scan.station, scan.at) == ("1000000137", "press gun", "press 1", NOON)


def test_the_answer_goes_back_to_the_scanner_that_read(crew: Crew) -> None:
    bench, wire = Bench(), QueueWire()
    crew.listen(bench, wire)
    wire.coming.put(CODE)
    assert wire.told.get(timeout=WAIT_S) == ACCEPTED


def test_each_read_has_an_id_of_its_own(crew: Crew) -> None:
    bench, wire = Bench(), QueueWire()
    crew.listen(bench, wire)
    wire.coming.put(CODE * 3)
    assert len({bench.scan().read_id for _ in range(3)}) == 3


@pytest.mark.fault
def test_a_code_torn_by_a_pause_is_read_once_and_whole(crew: Crew) -> None:
    bench, wire = Bench(), QueueWire()
    for piece in (CODE, b"10000", b"", b"", b"00137\r"):
        wire.coming.put(piece)
    crew.listen(bench, wire)
    assert [bench.text(), bench.text()] == ["1000000137", "1000000137"]


@pytest.mark.fault
def test_a_silence_counts_from_the_last_byte(crew: Crew) -> None:
    bench, wire = Bench(), QueueWire(tick_s=0.25)
    for piece in (CODE, *[b""] * 7, b"10000", b"", b"00137\r"):
        wire.coming.put(piece)
    crew.listen(bench, wire)
    assert [bench.text(), bench.text()] == ["1000000137", "1000000137"]


def test_a_code_without_an_end_is_read_when_the_wire_falls_silent(crew: Crew) -> None:
    bench, wire = Bench(), QueueWire()
    crew.listen(bench, wire)
    wire.coming.put(b"1000000137")
    assert bench.text() == "1000000137"


@pytest.mark.fault
def test_half_a_code_is_forgotten_when_the_wire_goes(crew: Crew) -> None:
    bench, first, second = Bench(), QueueWire(), QueueWire()
    first.coming.put(CODE + b"10000")
    first.coming.put(OSError("unplugged"))
    second.coming.put(CODE)
    crew.listen(bench, first, second)
    assert bench.text() == "1000000137"
    assert bench.text() == "1000000137"
    assert first.closed


@pytest.mark.fault
def test_a_scanner_that_goes_and_returns_is_announced_once_each_time(crew: Crew) -> None:
    bench, first, second = Bench(), QueueWire(), QueueWire()
    missing = [FileNotFoundError("no such scanner")] * 3
    crew.listen(bench, *missing, first, *missing, second)
    assert bench.notice() == ("absent", "no such scanner")
    assert bench.notice() == ("present", "press gun")
    first.coming.put(OSError("unplugged"))
    assert bench.notice() == ("absent", "unplugged")
    assert bench.notice() == ("present", "press gun")


@pytest.mark.fault
def test_a_wire_that_opens_but_cannot_be_read_is_not_present(crew: Crew) -> None:
    bench, dead, good = Bench(), [QueueWire() for _ in range(3)], QueueWire()
    for wire in dead:
        wire.coming.put(OSError("dead"))
    crew.listen(bench, *dead, good)
    assert [bench.notice(), bench.notice()] == [("absent", "dead"), ("present", "press gun")]


@pytest.mark.alone
@pytest.mark.fault
def test_it_waits_longer_before_each_new_try_and_stops_at_once_all_the_same() -> None:
    def stopping_s() -> float:
        bench, cupboard = Bench(), Cupboard()
        third_try = threading.Event()

        def open_wire() -> QueueWire:
            if cupboard.opened == 2:
                third_try.set()
            return cupboard()

        listener = Listener("gun", open_wire, bench.callbacks, bench.clock, back_off_s=(0, 0, 600))
        listener.start()
        assert third_try.wait(WAIT_S)
        took_s = seconds(lambda: listener.stop(WAIT_S))
        assert cupboard.opened == 3
        return took_s

    assert_within(1, stopping_s)


@pytest.mark.fault
def test_after_a_good_read_the_first_new_try_comes_soon_again(crew: Crew) -> None:
    bench, first, second = Bench(), QueueWire(), QueueWire()
    gone = OSError("unplugged")
    crew.listen(bench, gone, first, second, back_off_s=(0, 600))
    bench.wait_for("absent")
    bench.wait_for("present")
    first.coming.put(gone)
    bench.wait_for("absent")
    bench.wait_for("present")


@pytest.mark.fault
def test_a_driver_that_throws_anything_at_all_is_opened_again(crew: Crew) -> None:
    bench, wire = Bench(), QueueWire()
    crew.listen(bench, RuntimeError("the driver is broken"), wire)
    assert bench.wait_for("absent") == "the driver is broken"
    wire.coming.put(CODE)
    assert bench.text() == "1000000137"


@pytest.mark.fault
def test_a_scan_that_the_floor_cannot_take_is_reported_and_the_next_is_taken(crew: Crew) -> None:
    def answer(scan: Scan) -> Answer:
        if scan.text == "broken":
            raise RuntimeError("the ledger is on fire")
        return ACCEPTED

    bench, wire = Bench(answer), QueueWire()
    crew.listen(bench, wire)
    wire.coming.put(b"broken\r" + CODE)
    bench.wait_for("present")
    assert bench.wait_for("trouble") == "the ledger is on fire"
    assert wire.told.get(timeout=WAIT_S) == NOT_RECORDED
    assert bench.text() == "1000000137"


@pytest.mark.fault
def test_an_answer_that_cannot_be_given_costs_no_other_read(crew: Crew) -> None:
    class Deaf(QueueWire):
        def tell(self, answer: Answer) -> None:
            raise ValueError("cannot be told")

    bench, wire = Bench(), Deaf()
    crew.listen(bench, wire)
    wire.coming.put(CODE + CODE)
    assert [bench.text(), bench.text()] == ["1000000137"] * 2
    bench.wait_for("present")
    assert bench.wait_for("trouble") == "cannot be told"


@pytest.mark.fault
def test_a_callback_that_fails_does_not_end_the_listening() -> None:
    def fail(*_: object) -> None:
        raise RuntimeError("the wall is down")

    bench, wire = Bench(), QueueWire()
    callbacks = Callbacks(handle=bench.callbacks.handle, on_present=fail, on_absent=fail, on_trouble=fail)
    cupboard = Cupboard(OSError("not yet"), wire)
    listener = Listener("gun", cupboard, callbacks, bench.clock, back_off_s=(0.001,))
    listener.start()
    wire.coming.put(CODE)
    assert bench.text() == "1000000137"
    assert listener.stop(WAIT_S)


def test_when_the_input_ends_its_last_line_is_read_and_the_listener_is_done(crew: Crew) -> None:
    bench, wire = Bench(), QueueWire()
    listener = crew.listen(bench, wire)
    wire.coming.put(CODE + b"2000000138")
    wire.coming.put(EOFError("the input ended"))
    assert [bench.text(), bench.text()] == ["1000000137", "2000000138"]
    bench.wait_for("present")
    assert bench.wait_for("absent") == "the input ended"
    assert listener.stop(WAIT_S)


def test_a_listener_that_was_never_started_can_be_stopped() -> None:
    bench = Bench()
    assert Listener("gun", Cupboard(), bench.callbacks, bench.clock).stop()


def test_its_thread_bears_the_name_of_the_scanner(crew: Crew) -> None:
    bench, wire = Bench(lambda scan: Answer(outcome="accepted", say=threading.current_thread().name)), QueueWire()
    crew.listen(bench, wire)
    wire.coming.put(CODE)
    assert wire.told.get(timeout=WAIT_S).say == "scanner press gun"


@pytest.mark.fault
def test_a_listener_that_hangs_in_the_floor_is_named_when_all_are_stopped() -> None:
    release, in_floor = threading.Event(), threading.Event()

    def hang(scan: Scan) -> Answer:
        in_floor.set()
        release.wait(WAIT_S)
        return ACCEPTED

    bench, wire = Bench(hang), QueueWire()
    listeners = Listeners([Listener("gun", Cupboard(wire), bench.callbacks, bench.clock, framer=Framer())])
    listeners.start()
    wire.coming.put(CODE)
    assert in_floor.wait(WAIT_S)
    assert listeners.stop(0.01) == ["gun"]
    release.set()
    assert listeners.stop(WAIT_S) == []
