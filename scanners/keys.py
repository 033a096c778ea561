"""Turn the key records of a keyboard scanner into the bytes that were typed, by the US layout.

Never opens a device: records in, bytes out.
"""

import struct

_RECORD = struct.Struct("llHHi")
"""Linux `struct input_event`: seconds, microseconds, type, code, value."""

_EV_SYN, _EV_KEY = 0, 1
_SYN_REPORT, _SYN_DROPPED = 0, 3
_PRESSED, _RELEASED = 1, 0

LOST = b"\xff"
"""Stands where the kernel had to drop keys: no code holds it, so a damaged code cannot pass for another."""

_SHIFTS, _CONTROLS = frozenset({42, 54}), frozenset({29, 97})
_HELD_KEYS = _SHIFTS | _CONTROLS

_ROWS = (
    (2, "1234567890-=", "!@#$%^&*()_+"),
    (15, "\tqwertyuiop[]\r", "\tQWERTYUIOP{}\r"),
    (30, "asdfghjkl;'`", 'ASDFGHJKL:"~'),
    (43, "\\zxcvbnm,./", "|ZXCVBNM<>?"),
    (55, "*", "*"),
    (57, " ", " "),
    (71, "789-456+1230.", "789-456+1230."),
    (96, "\r", "\r"),
    (98, "/", "/"),
)
"""First key code of a row, what its keys type, and what with shift. The keypad always types digits."""

_PLAIN = {first + n: char for first, plain, _ in _ROWS for n, char in enumerate(plain)}
_SHIFTED = {first + n: char for first, _, shifted in _ROWS for n, char in enumerate(shifted)}


class KeyDecoder:
    """One keyboard's keys. Each device has its own, so that two that type at once are kept apart."""

    def __init__(self) -> None:
        self._torn = b""
        self._down: set[int] = set()
        self._skipping = False

    def feed(self, records: bytes) -> bytes:
        """The bytes that the records type; a record may come in pieces."""
        records = self._torn + records
        whole = len(records) - len(records) % _RECORD.size
        self._torn = records[whole:]
        return b"".join(
            self._typed(kind, code, value) for *_, kind, code, value in _RECORD.iter_unpack(records[:whole])
        )

    def _typed(self, kind: int, code: int, value: int) -> bytes:
        if kind == _EV_SYN:
            return self._synchronised(code)
        if kind != _EV_KEY or self._skipping:
            return b""
        if code in _HELD_KEYS:
            self._hold(code, value)
            return b""
        return self._character(code) if value == _PRESSED else b""

    def _synchronised(self, code: int) -> bytes:
        """After the kernel dropped records, all is stale up to the next report (its evdev documentation)."""
        if code == _SYN_DROPPED:
            self._skipping = True
            self._down.clear()
            return LOST
        if code == _SYN_REPORT:
            self._skipping = False
        return b""

    def _hold(self, code: int, value: int) -> None:
        if value == _RELEASED:
            self._down.discard(code)
        else:
            self._down.add(code)

    def _character(self, code: int) -> bytes:
        char = (_SHIFTED if self._down & _SHIFTS else _PLAIN).get(code, "")
        if char and self._down & _CONTROLS:
            return bytes([ord(char) & 0x1F])  # some scanners type STX as Ctrl+B
        return char.encode()
