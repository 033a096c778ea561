"""Scanners on real pseudo-terminals and sockets, pulled out at the worst moments."""

import os
import socket
import sys
import termios
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import serial
from msgspec.structs import replace
from serial.rfc2217 import PortManager

from scanners.framing import Framer
from scanners.listener import Listener
from scanners.serial_port import SerialWire
from shared.scan import Answer, Scan
from tests.measured import WAIT_S, assert_within, seconds
from tests.scanners.rig import ACCEPTED, REFUSED, Bench, PtyScanner, plugged_in

CODE = b"1000000137\r"
TICK_S = 0.02

Listen = Callable[..., Listener]


@pytest.fixture
def bench() -> Bench:
    return Bench()


@pytest.fixture
def scanner(tmp_path: Path) -> Iterator[PtyScanner]:
    with plugged_in(tmp_path / "scanner") as scanner:
        yield scanner


@pytest.fixture
def listen() -> Iterator[Listen]:
    """Starts a listener on a port for a bench, and stops it after the test."""
    started: list[Listener] = []

    def start(bench: Bench, url: object, *, answers: bool = False) -> Listener:
        listener = Listener(
            "gun",
            lambda: SerialWire(str(url), answers=answers, tick_s=TICK_S),
            bench.callbacks,
            bench.clock,
            framer=Framer(patience_s=WAIT_S),
            back_off_s=(0.005,),
        )
        started.append(listener)
        listener.start()
        return listener

    yield start
    assert all(listener.stop(WAIT_S) for listener in started)


def test_a_code_on_a_wire_is_read_once(bench: Bench, scanner: PtyScanner, listen: Listen) -> None:
    listen(bench, scanner.path)
    bench.wait_for("present")
    scanner.send(b"1000000137\r\n" + b"2000000138\r\n")
    assert [bench.text(), bench.text()] == ["1000000137", "2000000138"]


def test_a_code_without_an_end_is_read(bench: Bench, scanner: PtyScanner, listen: Listen) -> None:
    listen(bench, scanner.path)
    bench.wait_for("present")
    scanner.send(b"1000000137")
    assert bench.text() == "1000000137"


class Slow(SerialWire):
    """Says when a silence has been noticed."""

    def __init__(self, url: str, silence: threading.Event) -> None:
        super().__init__(url, tick_s=TICK_S)
        self._silence = silence

    def read(self) -> bytes:
        chunk = super().read()
        if not chunk:
            self._silence.set()
        return chunk


@pytest.mark.fault
def test_a_torn_frame_is_one_read(bench: Bench, scanner: PtyScanner) -> None:
    silence = threading.Event()
    framer = Framer(patience_s=WAIT_S)
    listener = Listener("gun", lambda: Slow(str(scanner.path), silence), bench.callbacks, bench.clock, framer=framer)
    listener.start()
    bench.wait_for("present")
    scanner.send(CODE + b"10000")
    assert bench.text() == "1000000137"
    silence.clear()
    assert silence.wait(WAIT_S)
    scanner.send(b"00137\r\n")
    assert bench.text() == "1000000137"
    assert listener.stop(WAIT_S)


@pytest.mark.fault
def test_noise_on_the_wire_is_one_record_and_the_next_code_is_read(
    bench: Bench, scanner: PtyScanner, listen: Listen
) -> None:
    listen(bench, scanner.path)
    bench.wait_for("present")
    scanner.send(b"\x00\xfe\x80\r" + CODE)
    assert [bench.text(), bench.text()] == ["\\x00\\xfe\\x80", "1000000137"]


@pytest.mark.fault
def test_a_scanner_that_is_pulled_out_while_it_is_read_is_absent(bench: Bench, scanner: PtyScanner) -> None:
    wire = SerialWire(str(scanner.path), tick_s=WAIT_S)
    listener = Listener("gun", lambda: wire, bench.callbacks, bench.clock)
    listener.start()
    scanner.send(CODE)
    assert bench.text() == "1000000137"
    bench.wait_for("present")
    scanner.unplug()
    bench.wait_for("absent")
    assert listener.stop(WAIT_S)


@pytest.mark.fault
def test_a_plug_that_is_pulled_between_a_byte_and_the_next_look_is_an_absence(
    bench: Bench, scanner: PtyScanner, listen: Listen, monkeypatch: pytest.MonkeyPatch
) -> None:
    in_waiting = serial.Serial.in_waiting

    def unplugged_first(port: serial.Serial) -> int:
        scanner.unplug()
        waiting: int = in_waiting.fget(port)
        return waiting

    listen(bench, scanner.path)
    bench.wait_for("present")
    monkeypatch.setattr(serial.Serial, "in_waiting", property(unplugged_first))
    scanner.send(b"7")
    bench.wait_for("absent")
    monkeypatch.undo()
    scanner.plug_in()
    bench.wait_for("present")
    scanner.send(CODE)
    assert bench.text() == "1000000137"


@pytest.mark.fault
def test_the_byte_that_was_fetched_before_the_plug_was_pulled_counts(
    scanner: PtyScanner, monkeypatch: pytest.MonkeyPatch
) -> None:
    wire = SerialWire(str(scanner.path), tick_s=WAIT_S)

    def gone(port: serial.Serial) -> int:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(serial.Serial, "in_waiting", property(gone))
    scanner.send(b"\r")
    assert wire.read() == b"\r"
    wire.close()


@pytest.mark.fault
def test_what_a_vanished_terminal_throws_is_raised_as_oserror(
    scanner: PtyScanner, monkeypatch: pytest.MonkeyPatch
) -> None:
    flush = serial.Serial._reset_input_buffer

    def unplugged_first(port: serial.Serial) -> None:
        scanner.unplug()
        flush(port)

    monkeypatch.setattr(serial.Serial, "_reset_input_buffer", unplugged_first)
    with pytest.raises(OSError, match="Input/output error") as raised:
        SerialWire(str(scanner.path), tick_s=TICK_S)
    assert isinstance(raised.value.__cause__, termios.error)


@pytest.mark.fault
def test_a_plug_that_is_pulled_while_the_port_is_flushed_is_an_absence(
    bench: Bench, scanner: PtyScanner, listen: Listen, monkeypatch: pytest.MonkeyPatch
) -> None:
    flush = serial.Serial._reset_input_buffer

    def unplugged_first(port: serial.Serial) -> None:
        scanner.unplug()
        flush(port)

    monkeypatch.setattr(serial.Serial, "_reset_input_buffer", unplugged_first)
    listen(bench, scanner.path)
    assert "Input/output error" in bench.wait_for("absent")
    monkeypatch.undo()
    scanner.plug_in()
    bench.wait_for("present")


@pytest.mark.fault
def test_twenty_times_unplugged_in_mid_code_every_code_is_read_exactly_once(
    bench: Bench, tmp_path: Path, listen: Listen
) -> None:
    scanner = PtyScanner(tmp_path / "scanner")
    listen(bench, scanner.path)
    bench.wait_for("absent")
    sent, read = [], []
    for plug in range(20):
        scanner.plug_in()
        bench.wait_for("present")
        codes = [f"{plug:04}{n:02}" for n in range(5)]
        scanner.send("".join(f"{code}\r\n" for code in codes).encode() + b"99")
        sent += codes
        read += [bench.text() for _ in codes]
        scanner.unplug()
        bench.wait_for("absent")
    assert read == sent
    assert bench.scans.empty()


@pytest.mark.fault
def test_a_port_has_one_listener_and_the_second_waits_its_turn(scanner: PtyScanner, listen: Listen) -> None:
    first, second = Bench(), Bench()
    holder = listen(first, scanner.path)
    first.wait_for("present")
    listen(second, scanner.path)
    assert "exclusively lock" in second.wait_for("absent")
    scanner.send(CODE)
    assert first.text() == "1000000137"
    assert holder.stop(WAIT_S)
    second.wait_for("present")
    scanner.send(CODE)
    assert second.text() == "1000000137"
    assert first.scans.empty()


@pytest.mark.fault
def test_a_path_that_leads_nowhere_is_an_absence_that_names_it(bench: Bench, tmp_path: Path, listen: Listen) -> None:
    listen(bench, tmp_path / "nothing")
    assert str(tmp_path / "nothing") in bench.wait_for("absent")


@pytest.mark.parametrize("url", ["sokcet://127.0.0.1:1", "socket://nowhere", "socket://127.0.0.1:99999"])
def test_an_address_that_cannot_be_is_an_oserror_and_an_absence(bench: Bench, listen: Listen, url: str) -> None:
    with pytest.raises(OSError, match=r"invalid URL|Could not open port"):
        SerialWire(url)
    listen(bench, url)
    bench.wait_for("absent")


@pytest.mark.alone
def test_a_listener_stops_promptly_while_nothing_comes(bench: Bench, scanner: PtyScanner) -> None:
    def stopping_s() -> float:
        listener = Listener("gun", lambda: SerialWire(str(scanner.path)), bench.callbacks, bench.clock)
        listener.start()
        bench.wait_for("present")
        return seconds(lambda: listener.stop(WAIT_S))

    assert_within(1, stopping_s)


def good_if_a_code(scan: Scan) -> Answer:
    return ACCEPTED if scan.text.isdigit() else REFUSED


def to_be_looked_at_if_marked(scan: Scan) -> Answer:
    return replace(ACCEPTED, look=True) if scan.text == "look" else good_if_a_code(scan)


def test_a_scanner_that_takes_answers_hears_ack_or_nak_and_a_beep_where_hands_are_needed(
    scanner: PtyScanner, listen: Listen
) -> None:
    bench = Bench(to_be_looked_at_if_marked)
    listen(bench, scanner.path, answers=True)
    bench.wait_for("present")
    scanner.send(CODE + b"rubbish\r" + CODE + b"look\r")
    assert scanner.heard(6) == b"\x06\x15\x07\x06\x06\x07"


def test_a_scanner_that_was_not_said_to_take_answers_hears_nothing(
    bench: Bench, scanner: PtyScanner, listen: Listen
) -> None:
    listen(bench, scanner.path)
    bench.wait_for("present")
    scanner.send(CODE + CODE)
    bench.text()
    bench.text()  # the answer to the first has been dealt with
    assert not scanner.has_heard_something()


@pytest.mark.fault
def test_a_wire_that_echoes_our_answers_does_not_answer_itself() -> None:
    bench = Bench(good_if_a_code)
    wire = SerialWire("loop://", answers=True, tick_s=TICK_S)
    wire._port.write(b"rubbish\r" + CODE)
    listener = Listener("gun", lambda: wire, bench.callbacks, bench.clock)
    listener.start()
    assert [bench.text(), bench.text()] == ["rubbish", "1000000137"]
    bench.wait_for("present")
    wire._port.write(b"\r" + CODE)
    assert bench.text() == "1000000137"
    assert listener.stop(WAIT_S)
    assert bench.scans.empty()


@pytest.fixture
def server() -> Iterator[socket.socket]:
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(WAIT_S)
        yield server


def address(server: socket.socket) -> str:
    return f"127.0.0.1:{server.getsockname()[1]}"


@pytest.mark.fault
def test_a_network_scanner_is_read_to_its_last_byte_and_found_again(
    bench: Bench, server: socket.socket, listen: Listen
) -> None:
    listen(bench, f"socket://{address(server)}")
    for _ in range(2):
        connection, _ = server.accept()
        bench.wait_for("present")
        connection.sendall(CODE * 3)
        connection.close()
        assert [bench.text() for _ in range(3)] == ["1000000137"] * 3
        bench.wait_for("absent")


@pytest.mark.skipif(not hasattr(socket, "TCP_KEEPIDLE"), reason="the platform does not let a program choose")
def test_a_network_scanner_that_lost_its_power_is_noticed_within_half_a_minute(server: socket.socket) -> None:
    wire = SerialWire(f"socket://{address(server)}", tick_s=TICK_S)
    connection = wire._port._socket
    assert connection.getsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE) == 1
    idle_s, gap_s, tries = (
        connection.getsockopt(socket.IPPROTO_TCP, option)
        for option in (socket.TCP_KEEPIDLE, socket.TCP_KEEPINTVL, socket.TCP_KEEPCNT)
    )
    assert idle_s + gap_s * tries <= 30
    wire.close()


class Rfc2217Server:
    """A port on the network: pyserial's own server side, in front of a loop."""

    def __init__(self, server: socket.socket) -> None:
        self._server = server
        self.port = serial.serial_for_url("loop://", timeout=0)
        self.connection: socket.socket | None = None
        self.thread = threading.Thread(target=self._serve)

    def write(self, data: bytes) -> None:
        assert self.connection is not None
        self.connection.sendall(data)

    def _serve(self) -> None:
        self.connection, _ = self._server.accept()
        manager = PortManager(self.port, self)
        while data := self.connection.recv(1024):
            self.port.write(b"".join(manager.filter(data)))
        self.connection.close()


@pytest.mark.filterwarnings("ignore:set(Daemon|Name)\\(\\) is deprecated:DeprecationWarning")
def test_a_scanner_behind_an_rfc2217_server_is_read(bench: Bench, server: socket.socket) -> None:
    far_end = Rfc2217Server(server)
    far_end.thread.start()
    listener = Listener(
        "gun",
        lambda: SerialWire(f"rfc2217://{address(server)}?ign_set_control", answers=True, tick_s=TICK_S),
        bench.callbacks,
        bench.clock,
    )
    listener.start()
    bench.wait_for("present")
    far_end.write(CODE)
    assert bench.text() == "1000000137"
    assert listener.stop(WAIT_S)
    far_end.thread.join(WAIT_S)
    assert far_end.port.read(1) == b"\x06"


@pytest.mark.skipif(sys.platform != "linux", reason="counts in /proc")
@pytest.mark.fault
def test_no_descriptor_is_left_behind_by_a_scanner_that_comes_and_goes(
    bench: Bench, tmp_path: Path, listen: Listen
) -> None:
    scanner = PtyScanner(tmp_path / "scanner")
    listener = listen(bench, scanner.path)
    bench.wait_for("absent")
    before = len(os.listdir("/proc/self/fd"))
    for _ in range(5):
        scanner.plug_in()
        bench.wait_for("present")
        scanner.unplug()
        bench.wait_for("absent")
    assert listener.stop(WAIT_S)
    assert len(os.listdir("/proc/self/fd")) <= before
