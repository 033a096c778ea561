"""Turn bytes from a scanner, in whatever pieces they come, into whole reads.

Never decides what a read means: whatever is not plain text is passed on as text that a person can look at.
"""

import re
from dataclasses import dataclass
from typing import Literal

FRAME_BYTES_MAX = 64
"""Our longest code is far shorter. A longer frame is reported once and the rest of it is thrown away, so that
a scanner that is stuck cannot eat the memory."""

_ENDS = re.compile(rb"[\r\n\t\x02\x03]")
"""CR, LF, TAB, STX and ETX all part one frame from the next; what lies between two of them may be nothing."""

_CONTROLS = bytes(range(0x21)) + b"\x7f"
_LINK_TALK = b"\x05\x06\x07\x11\x13\x15 "
"""ENQ, ACK, BEL, XON, XOFF, NAK and blanks: talk of the wire itself. Alone they are no read, or the echo of
our own ACK would be answered for ever."""

_ESCAPES = {code: f"\\x{code:02x}" for code in range(256) if not 0x20 <= code < 0x7F}


@dataclass(frozen=True, slots=True)
class Frame:
    """One read. `text` is printable ASCII, but for the "…" at the end of what was too long."""

    kind: Literal["text", "noise", "too long"]
    text: str


class Framer:
    """Holds the beginning of a frame until its end has come; the same frames for every split of a stream.

    A scanner that has not ended a frame yet may be one that never does: its frame is over after `gap_s` of
    silence. One that has is waited for: its frame is given up only after `patience_s`. Seconds, both.
    """

    def __init__(self, gap_s: float = 0.25, patience_s: float = 2.0) -> None:
        self._gap_s = gap_s
        self._patience_s = patience_s
        self._held = bytearray()
        self._skipping = False
        self._ends_frames = False

    @property
    def held_bytes(self) -> int:
        """How much of an unfinished frame is held: never more than FRAME_BYTES_MAX."""
        return len(self._held)

    def feed(self, chunk: bytes) -> list[Frame]:
        """The frames that a chunk completes."""
        *ended, rest = _ENDS.split(chunk)
        frames = []
        for piece in ended:
            frames += self._hold(piece) + self.end()
            self._ends_frames = True
        return frames + self._hold(rest)

    def idle(self, quiet_s: float) -> list[Frame]:
        """The frame that is over because nothing has come for so long, if any."""
        return self.end() if quiet_s >= (self._patience_s if self._ends_frames else self._gap_s) else []

    def end(self) -> list[Frame]:
        """The frame that is held, as it is; the next byte begins another."""
        held = bytes(self._held)
        self.drop()
        return _frames(held)

    def drop(self) -> None:
        """Forget what is held: the wire it came on is gone."""
        self._held.clear()
        self._skipping = False

    def _hold(self, piece: bytes) -> list[Frame]:
        if self._skipping:
            return []
        room = FRAME_BYTES_MAX - len(self._held)
        self._held += piece[:room]
        if len(piece) <= room:
            return []
        text = _printable(bytes(self._held)) + "…"
        self._held.clear()
        self._skipping = True
        return [Frame("too long", text)]


def _frames(raw: bytes) -> list[Frame]:
    """No frame or one. Controls around a text (a NUL from plugging in, a stray XON) do not spoil it."""
    inner = raw.strip(_CONTROLS)
    if not inner:
        return [Frame("noise", _printable(raw))] if raw.strip(_LINK_TALK) else []
    text = _printable(inner)
    return [Frame("text", text) if len(text) == len(inner) else Frame("noise", _printable(raw))]


def _printable(raw: bytes) -> str:
    return raw.decode("latin-1").translate(_ESCAPES)
