"""A scanner on a serial port, or on whatever else pyserial opens by URL.

Never touches the modem lines, and never reads more at once than has arrived.
"""

import contextlib
import socket
from collections.abc import Iterator, Mapping

import serial

from shared.scan import Answer, Signal

try:
    from termios import error as _TermiosError
except ImportError:  # Windows

    class _TermiosError(Exception):  # type: ignore[no-redef]
        pass


READ_BYTES_MAX = 4096
"""At most so much is taken at once; the rest stays in the kernel until the next read."""

ANSWER_WITHIN_S = 1.0
"""A scanner that does not take its answer in this time is not waited for."""

ANSWERS: Mapping[Signal, bytes] = {"good": b"\x06", "look": b"\x06\x07", "stop": b"\x15\x07"}
"""ACK; ACK and BEL; NAK and BEL: in common use by scanners that a host may answer."""

_KEEPALIVE = {"TCP_KEEPIDLE": 10, "TCP_KEEPINTVL": 5, "TCP_KEEPCNT": 3}
"""A network scanner whose power went says nothing: after some 25 s its silence counts as the wire's end."""


class SerialWire:
    """An open port. The same path may lead to another device each time it is opened, as by-id links do."""

    def __init__(self, url: str, *, baud: int = 9600, answers: bool = False, tick_s: float = 0.25) -> None:
        """Open the port, for us alone where the platform can. Raises OSError."""
        self.tick_s = tick_s
        self._answers = answers
        over_rfc2217 = url.lower().startswith("rfc2217:")  # has a limit of its own, and refuses this one
        with _as_os_error():
            self._port = serial.serial_for_url(
                url,
                baudrate=baud,
                timeout=tick_s,
                write_timeout=None if over_rfc2217 else ANSWER_WITHIN_S,
                exclusive=True,
            )
        _keep_alive(getattr(self._port, "_socket", None))

    def read(self) -> bytes:
        """What has arrived, or nothing if nothing does within a tick. Raises OSError."""
        with _as_os_error():
            first: bytes = self._port.read(1)
        if not first:
            return b""
        try:
            # On a socket `in_waiting` is 1 for any number, and for the end: it is a hint, not a count.
            rest: bytes = self._port.read(min(self._port.in_waiting, READ_BYTES_MAX))
            return first + rest
        except (OSError, _TermiosError):
            return first  # it may end a code; the next read meets the fault again

    def tell(self, answer: Answer) -> None:
        """ACK or NAK, for a scanner that listens; most do not. Raises OSError."""
        if self._answers:
            with _as_os_error():
                self._port.write(ANSWERS[answer.signal])

    def close(self) -> None:
        """Close the port."""
        with contextlib.suppress(OSError, _TermiosError):
            self._port.close()


@contextlib.contextmanager
def _as_os_error() -> Iterator[None]:
    """An unplugged port answers with SerialException, OSError or termios.error, a wrong URL with ValueError.

    The last two are no OSErrors.
    """
    try:
        yield
    except (_TermiosError, ValueError) as error:
        raise OSError(*error.args) from error


def _keep_alive(connection: socket.socket | None) -> None:
    """pyserial offers no public way to the socket that it opened."""
    if connection is None:
        return
    connection.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
    for option, value in _KEEPALIVE.items():
        if hasattr(socket, option):  # not every platform lets a program choose
            connection.setsockopt(socket.IPPROTO_TCP, getattr(socket, option), value)
