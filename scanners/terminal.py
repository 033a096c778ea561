"""A keyboard scanner that types into a focused terminal, or codes that come through a pipe.

Never lets an answer drive the terminal.
"""

import os
import select
from collections.abc import Mapping
from typing import TextIO

from shared.scan import Answer, Signal

READ_BYTES_MAX = 4096
BEEPS: Mapping[Signal, str] = {"good": "", "look": "\a\a", "stop": "\a"}


class TerminalWire:
    """Reads a file descriptor that it does not own, and prints a line for each answer."""

    def __init__(self, fd: int, out: TextIO, *, tick_s: float = 0.25) -> None:
        self.tick_s = tick_s
        self._fd = fd
        self._out = out

    def read(self) -> bytes:
        """What was typed, or nothing within a tick. Raises EOFError at the end of a file; OSError."""
        # Windows cannot wait for a console with select: there it blocks until a line is typed.
        if os.name == "posix" and not select.select([self._fd], [], [], self.tick_s)[0]:
            return b""
        chunk = os.read(self._fd, READ_BYTES_MAX)
        if not chunk:
            raise EOFError("the input ended")
        return chunk

    def tell(self, answer: Answer) -> None:
        """The answer in one line: one beep if it was refused, two if there is something to look at."""
        line = "".join(char if char.isprintable() else "?" for char in answer.line)
        beep = BEEPS[answer.signal] if self._out.isatty() else ""
        print(f"{beep}{line}", file=self._out, flush=True)

    def close(self) -> None:
        """Nothing: the descriptor belongs to the program."""
