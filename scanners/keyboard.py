"""A scanner that Linux takes for a keyboard: found by name or path, and kept from typing into other windows.

Never grabs a keyboard while one of its keys is down, since that key would stay down for everybody else.
"""

import contextlib
import os
import select
import time
from collections.abc import Callable, Iterable
from typing import Protocol

from scanners.keys import KeyDecoder
from shared.scan import Answer

READ_BYTES_MAX = 64 * 24


class Keyboard(Protocol):
    """As much of evdev.InputDevice as is used here; evdev is optional, so its own type cannot be named."""

    fd: int
    name: str

    def active_keys(self) -> list[int]:
        """The keys that are down."""
        ...

    def grab(self) -> None:
        """Keep its keys from everybody else. Raises OSError if another program has done so."""
        ...

    def close(self) -> None:
        """Let go of it."""
        ...


class KeyboardWire:
    """An open keyboard. It cannot answer: the station's screen does."""

    def __init__(self, keyboard: Keyboard, *, tick_s: float = 0.25) -> None:
        self.tick_s = tick_s
        self._keyboard = keyboard
        self._decoder = KeyDecoder()
        self._grabbed = False

    def read(self) -> bytes:
        """What was typed, or nothing within a tick. Raises OSError when it is unplugged or another's."""
        if not self._grabbed and not self._keyboard.active_keys():
            self._keyboard.grab()
            self._grabbed = True
        deadline = time.monotonic() + self.tick_s
        while select.select([self._keyboard.fd], [], [], max(0.0, deadline - time.monotonic()))[0]:
            typed = self._decoder.feed(self._records())  # releases and repeats type nothing
            if typed or time.monotonic() >= deadline:
                return typed
        return b""

    def _records(self) -> bytes:
        records = os.read(self._keyboard.fd, READ_BYTES_MAX)
        if not records:
            raise OSError("the keyboard is gone")
        return records

    def tell(self, answer: Answer) -> None:
        """Nothing: a keyboard has no ears."""

    def close(self) -> None:
        """Let go of the keyboard; the kernel ends the grab."""
        with contextlib.suppress(OSError):
            self._keyboard.close()


def open_keyboard(name: str) -> Keyboard:
    """The keyboard of that name, or at that path if it begins with "/" (by-id links tell twins apart).

    Raises OSError: there is none, it may not be read, or evdev is not installed.
    """
    try:
        import evdev
    except ImportError:
        raise OSError("keyboard scanners need Linux and evdev: pip install 'piecewalk[keyboard]'") from None
    if name.startswith("/"):
        keyboard: Keyboard = evdev.InputDevice(name)
        return keyboard
    return named(name, evdev.list_devices(), evdev.InputDevice)


def named(name: str, paths: Iterable[str], open_path: Callable[[str], Keyboard]) -> Keyboard:
    """The first device of that name; the others are closed again. Raises OSError, naming those there are."""
    others = set()
    for path in paths:
        with contextlib.suppress(OSError):  # it went while we looked, or is not ours to read
            keyboard = open_path(path)
            if keyboard.name == name:
                return keyboard
            others.add(keyboard.name)
            keyboard.close()
    found = ", ".join(repr(other) for other in sorted(others)) or "none that may be read"
    raise OSError(f"no keyboard named {name!r}; there are: {found}")
