"""A wire between a browser and the floor, which can be cut without either end being told.

Never closes what it cuts: a switch without power does not either.
"""

import socket
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from threading import Event, Thread

from tests.measured import WAIT_S


class Wire:
    """Passes on what comes, both ways. What was connected when it was cut stays dead, even when it is mended."""

    def __init__(self, port: int) -> None:
        self._floor = ("127.0.0.1", port)
        self._listener = socket.create_server(("127.0.0.1", 0))
        self._ends: list[socket.socket] = []
        self._whole = Event()
        self._whole.set()

    @property
    def url(self) -> str:
        """Where the browser finds the floor."""
        return f"http://127.0.0.1:{self._listener.getsockname()[1]}"

    def cut(self) -> None:
        self._whole.clear()

    def mend(self) -> None:
        self._whole = Event()
        self._whole.set()

    def connect(self) -> None:
        """Take connections until the wire is taken away."""
        with suppress(OSError):
            while True:
                near, _ = self._listener.accept()
                far = socket.create_connection(self._floor)
                self._ends += [near, far]
                for source, target in ((near, far), (far, near)):
                    Thread(target=self._pass_on, args=(source, target, self._whole), daemon=True).start()

    def _pass_on(self, source: socket.socket, target: socket.socket, whole: Event) -> None:
        with suppress(OSError):
            while data := source.recv(65_536):
                if whole.is_set():
                    target.sendall(data)
            if whole.is_set():
                target.shutdown(socket.SHUT_WR)

    def take_away(self) -> None:
        """Close both ends of every connection."""
        for end in [self._listener, *self._ends]:
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
            end.close()


@contextmanager
def wire(port: int) -> Iterator[Wire]:
    """A whole wire to a port of this machine."""
    wire = Wire(port)
    thread = Thread(target=wire.connect, daemon=True)
    thread.start()
    try:
        yield wire
    finally:
        wire.take_away()
        thread.join(WAIT_S)
