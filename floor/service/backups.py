"""The backups of a shop: one a day in a folder of their own, verified, the oldest cleared away.

Never on the ledger's writer thread: reads are answered while a backup is made.
"""

from collections.abc import Callable, Iterator
from datetime import date, datetime
from pathlib import Path

from floor.core.rules.day import backed_up, backup_due
from floor.ledger import LedgerError, Stopped
from floor.ledger.check import OnPage, go_on, verify
from floor.ledger.copying import copy_to_file, opened_copy
from floor.service.chore import Chore
from floor.service.service import Service

NAMES = "ledger-????-??-??.db"
"""The names begin with the year, so that their order is that of the days."""

Trouble = Callable[[str], None]


class Backups:
    """Makes the backup of a day when it is due: `chore` is looked at each minute."""

    def __init__(self, service: Service, shop_folder: Path, on_trouble: Trouble) -> None:
        settings = service.shop.file.backups
        self.folder = shop_folder / settings.folder
        self.chore = Chore(self._look, service.clock, self._failed)
        self._keep = settings.keep
        self._service = service
        self._on_trouble = on_trouble
        self._made: date | None = None

    def _look(self, now: datetime) -> None:
        if not self._keep:
            return
        with self._service.reading() as floor:
            due = backup_due(floor, self._service.shop, now)
        if due is not None and due != self._made:
            self._make(due)

    def _failed(self, error: Exception) -> None:
        self._on_trouble(f"The ledger was not backed up: {error}. It is tried again after the next full hour.")

    def _make(self, day: date) -> None:
        self.folder.mkdir(parents=True, exist_ok=True)
        file = self.folder / f"ledger-{day.isoformat()}.db"
        if trouble_of(file, self._go_on):  # a good one was made just before the floor was killed
            copy_to_file(self._service.ledger, file, self._go_on)
        self._service.record(lambda floor: (backed_up(floor, day, self._service.clock.now()), None))
        self._made = day
        self._clear()

    def _clear(self) -> None:
        """Keep the newest good ones, so many; a bad one among them is told, and does not count."""
        files = backup_files(self.folder)
        good = 0
        for file in files if len(files) > self._keep else ():
            if good >= self._keep:
                file.unlink()
            elif trouble := trouble_of(file, self._go_on):
                self._on_trouble(f"A backup is damaged: {file.name}: {trouble}")
            else:
                good += 1

    def _go_on(self, _seq: int) -> None:
        self.chore.go_on()


def backup_files(folder: Path) -> list[Path]:
    """The backups in a folder, the newest first, good or not."""
    return sorted(folder.glob(NAMES), reverse=True)


def trouble_of(file: Path, on_page: OnPage = go_on) -> str | None:
    """What is wrong with a backup, in one line, or None. Whatever else `on_page` raises ends it."""
    try:
        with opened_copy(file) as ledger:
            verify(ledger, on_page)
    except Stopped:
        raise
    except LedgerError as error:
        return str(error)
    return None


def newest_good(folder: Path) -> Path | None:
    """The newest backup in a folder that verifies; None when there is none."""
    good: Iterator[Path] = (file for file in backup_files(folder) if trouble_of(file) is None)
    return next(good, None)
