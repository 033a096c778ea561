"""Each kind of port in a shop file, listened to."""

import os
import termios
from pathlib import Path

import pytest

from scanners import devices
from scanners.devices import open_listener
from shared.files.shopfile import Scanner
from tests.measured import WAIT_S
from tests.scanners.rig import Bench, plugged_in


def test_a_path_is_a_serial_port_with_the_station_and_answers_of_the_shop_file(tmp_path: Path) -> None:
    bench = Bench()
    with plugged_in(tmp_path / "gun") as gun:
        entry = Scanner(name="press gun", port=str(gun.path), station="press 1", answers=True)
        listener = open_listener(entry, bench.callbacks, bench.clock)
        listener.start()
        bench.wait_for("present")
        gun.send(b"1000000137\r")
        scan = bench.scan()
        assert (scan.text, scan.device, scan.station) == ("1000000137", "press gun", "press 1")
        assert gun.heard(1) == b"\x06"
        assert listener.stop(WAIT_S)


def test_the_port_is_opened_at_the_baud_rate_of_the_shop_file(tmp_path: Path) -> None:
    bench = Bench()
    with plugged_in(tmp_path / "gun") as gun:
        listener = open_listener(Scanner(name="gun", port=str(gun.path), baud=115_200), bench.callbacks, bench.clock)
        listener.start()
        bench.wait_for("present")
        assert gun.speed() == termios.B115200
        assert listener.stop(WAIT_S)


@pytest.mark.parametrize(("port", "pause_s"), [("stdin", 3600.0), ("keyboard:gun", 0.9), ("/dev/ttyUSB0", 0.2)])
def test_a_first_code_may_be_typed_with_pauses_that_suit_the_device(port: str, pause_s: float) -> None:
    _, framer = devices._device(Scanner(name="gun", port=port))
    framer.feed(b"10000")
    assert framer.idle(pause_s) == []


def test_stdin_is_read_to_its_end_and_answered_in_lines(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    reader, writer = os.pipe()
    monkeypatch.setattr(devices, "_STDIN", reader)
    bench = Bench()
    listener = open_listener(Scanner(name="desk", port="stdin"), bench.callbacks, bench.clock)
    listener.start()
    os.write(writer, b"1000000137\n2000000138")
    os.close(writer)
    scans = [bench.scan(), bench.scan()]
    assert [(scan.text, scan.station) for scan in scans] == [("1000000137", None), ("2000000138", None)]
    bench.wait_for("present")
    assert bench.wait_for("absent") == "the input ended"
    assert listener.stop(WAIT_S)
    assert capsys.readouterr().out == "accepted: Next: cure\n" * 2
    os.close(reader)


def test_a_keyboard_that_is_missing_is_an_absence(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = Bench()
    entry = Scanner(name="hand scanner", port="keyboard:no such keyboard")
    listener = open_listener(entry, bench.callbacks, bench.clock)
    listener.start()
    assert "keyboard" in bench.wait_for("absent")
    assert listener.stop(WAIT_S)
