"""A remake's traveller is printed as soon as it is opened, where the shop has a printer command.

Never holds up a scan: printing happens on a thread of its own, and its troubles are said, not raised.
"""

import shlex
import subprocess
import tempfile
from collections.abc import Callable
from pathlib import Path
from queue import Full, Queue
from threading import Thread

from floor.papers.travellers import tickets_of, write_travellers
from floor.service.service import Service
from shared.scan import Answer

WAITING_MAX = 100
"""More remakes than this at once is no shop's day; what does not fit is said, and can be printed by hand."""
PRINTER_S = 60
"""How long the printer command may take."""


class RemakePrinter:
    """Prints the travellers of remakes, one after the other."""

    def __init__(self, service: Service, folder: Path, say: Callable[[str], None]) -> None:
        self._service = service
        self._folder = folder
        self._say = say
        self._command = service.shop.file.shop.print_command
        self._waiting: Queue[str | None] = Queue(WAITING_MAX)
        self._thread = Thread(target=self._run, name="remake printer", daemon=True)

    def start(self) -> None:
        """Begin to print."""
        self._thread.start()

    def stop(self) -> None:
        """Print what waits, and end."""
        self._waiting.put(None)
        self._thread.join(PRINTER_S)

    def offer(self, answer: Answer) -> None:
        """Print the remake that an answer names, if it names one and the shop has a printer command."""
        if answer.remake is None or not self._command:
            return
        try:
            self._waiting.put_nowait(answer.remake)
        except Full:
            self._say(f"Not printed: print the ticket of {answer.remake} by hand.")

    def _run(self) -> None:
        while (piece := self._waiting.get()) is not None:
            try:
                self._print(piece)
            except (OSError, subprocess.SubprocessError, ValueError) as error:
                self._say(f"The ticket of {piece} was not printed: {error}")

    def _print(self, piece: str) -> None:
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / f"{piece}.pdf"
            with self._service.reading() as floor:
                tickets = tickets_of(floor, self._service.shop, self._folder, [floor.pieces[piece]])
            with file.open("wb") as pdf:
                write_travellers(tickets, self._service.shop, pdf)
            command = [part.replace("{file}", str(file)) for part in shlex.split(self._command)]
            subprocess.run(command, check=True, timeout=PRINTER_S, capture_output=True)
