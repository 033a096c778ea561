"""Which kind of device a shop file's port is, and a listener for it.

Never opens anything: the listener does, again and again, on its own thread.
"""

import math
import sys
from collections.abc import Callable

from scanners.framing import Framer
from scanners.keyboard import KeyboardWire, open_keyboard
from scanners.listener import Callbacks, Listener, Wire
from scanners.serial_port import SerialWire
from scanners.terminal import TerminalWire
from shared.clock import Clock
from shared.files.shopfile import Scanner

_STDIN = 0


def open_listener(scanner: Scanner, callbacks: Callbacks, clock: Clock) -> Listener:
    """A listener, not yet started, for one scanner of the shop file.

    Its `port` is "stdin", "keyboard:NAME", "keyboard:/dev/input/by-id/…", or anything that pyserial opens:
    a path, COM3, socket://host:port, rfc2217://host:port, hwgrep://pattern.
    """
    open_wire, framer = _device(scanner)
    return Listener(scanner.name, open_wire, callbacks, clock, station=scanner.station, framer=framer)


def _device(scanner: Scanner) -> tuple[Callable[[], Wire], Framer]:
    if scanner.port == "stdin":  # a person may take all day over a line
        return lambda: TerminalWire(_STDIN, sys.stdout), Framer(gap_s=math.inf, patience_s=math.inf)
    kind, _, name = scanner.port.partition(":")
    if kind == "keyboard":  # a number pad is typed on by hand when a code will not scan
        return lambda: KeyboardWire(open_keyboard(name)), Framer(gap_s=1.0, patience_s=10.0)
    return lambda: SerialWire(scanner.port, baud=scanner.baud, answers=scanner.answers), Framer()
