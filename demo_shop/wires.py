"""Virtual scanners: each types on a pseudo-terminal of its own, in the manner of its make.

Never hands a read over in memory: bytes go down a wire, as from a scanner on a desk.
"""

import os
import pty
import tty
from collections.abc import Iterable
from itertools import cycle
from typing import NamedTuple

from shared.files.shopfile import Scanner


class Manner(NamedTuple):
    """What a make of scanner types before and after a code."""

    before: bytes
    after: bytes


MANNERS = (
    Manner(b"", b"\r"),
    Manner(b"", b"\r\n"),
    Manner(b"]C0", b"\n"),
    Manner(b"\x02", b"\x03"),
    Manner(b"", b"\t"),
    Manner(b"]C0", b"\r\n"),
)
"""As the manuals of common scanners list them; "]C0" is the AIM prefix of Code 128 (ISO/IEC 15424)."""


class VirtualScanner:
    """A scanner at one end of a pseudo-terminal; whoever opens `port` is at the other."""

    def __init__(self, manner: Manner) -> None:
        self._manner = manner
        self._end, other = pty.openpty()
        tty.setraw(other)
        self.port = os.ttyname(other)
        os.close(other)

    def type(self, codes: Iterable[str]) -> None:
        """Type codes, one right after the other. Raises OSError."""
        before, after = self._manner
        os.write(self._end, b"".join(before + code.encode() + after for code in codes))

    def unplug(self) -> None:
        """Vanish, and the port with it."""
        os.close(self._end)


def plug_in(scanners: Iterable[Scanner]) -> dict[str, VirtualScanner]:
    """A virtual scanner for each one of a shop file, by its name; the makes differ."""
    return {scanner.name: VirtualScanner(manner) for scanner, manner in zip(scanners, cycle(MANNERS), strict=False)}
