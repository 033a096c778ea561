"""`run`: listeners, timekeeper and the printer of remakes, started and stopped together.

Never two at a time on one shop folder: a lock file says that the floor runs.
"""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Event

from floor.doors.access import Access
from floor.doors.benches import Benches
from floor.doors.remote import Say
from floor.doors.shop_change import ShopChange
from floor.papers.remakes import RemakePrinter
from floor.reports.weekly import WeeklyReports
from floor.service.backups import Backups
from floor.service.lock import floor_lock
from floor.service.recording import RecordingWatch
from floor.service.service import Service
from floor.service.stopping import stop_event
from floor.service.timekeeper import Timekeeper
from scanners.devices import open_listener
from scanners.listener import Callbacks, Listener, Listeners
from shared.files.shopfile import Scanner
from shared.scan import Answer, Scan

Handle = Callable[[Scan], Answer]

TURN_S = 0.0005
"""How long one thread may hold up the others: a scan passes through several, and must not wait for a page in each."""


def run_floor(service: Service, folder: Path, say: Say) -> None:
    """Run until SIGINT or SIGTERM; `say` gets a line for each thing that a person may want to know.

    Raises a LedgerError where nothing can be recorded: whoever starts a floor is there to hear of it.
    """
    stop = stop_event()
    sys.setswitchinterval(TURN_S)
    with floor_lock(folder):
        service.prove()
        _run(service, folder, say, stop)


def _run(service: Service, folder: Path, say: Say, stop: Event) -> None:
    with open_floor(service, folder, say):
        say(f"{service.shop.name}: the floor runs. Stop it with Ctrl-C.")
        stop.wait()
    say("The floor is closed. All that was answered is in the ledger.")


@contextmanager
def open_floor(service: Service, folder: Path, say: Say) -> Iterator[None]:
    """Listen, keep the time and serve the pages until the block ends, in a folder whose lock is held."""
    from floor.web.app import Settings  # the pages bring much with them, which no other command needs
    from floor.web.metrics import Metrics
    from floor.web.server import serving

    chores = [Backups(service, folder, on_trouble=say).chore, WeeklyReports(service, folder, say).chore]
    change = ShopChange(service, folder, say)
    each_minute = [change.look, *(chore.look for chore in chores)]
    timekeeper = Timekeeper(service, lambda error: say(f"Timekeeper: {error}"), each_minute)
    printer = RemakePrinter(service, folder, say)
    watch = RecordingWatch(service.recording, service.prove, folder, say)
    metrics = Metrics(service)
    handle = metrics.watched(_handler(service, printer, say))
    listeners = Listeners([_listener(scanner, handle, service, say) for scanner in service.shop.file.scanners])
    timekeeper.start()
    printer.start()
    watch.start()
    try:
        settings = Settings(
            folder=folder,
            benches=Benches(folder),
            access=Access(folder),
            metrics=metrics,
            scan=handle,
            notice=lambda: change.notice,
        )
        with serving(service, settings, say):
            listeners.start()
            yield
    finally:
        for device in listeners.stop():
            say(f"{device} did not let go in time.")
        watch.stop()
        timekeeper.stop()
        for chore in chores:
            chore.stop()
        printer.stop()


def _handler(service: Service, printer: RemakePrinter, say: Say) -> Handle:
    def handle(scan: Scan) -> Answer:
        answer = service.scan(scan)
        say(f"{scan.station or scan.device}: {scan.text}: {answer.line}")
        printer.offer(answer)
        return answer

    return handle


def _listener(scanner: Scanner, handle: Handle, service: Service, say: Say) -> Listener:
    def present(device: str) -> None:
        say(f"{device} is there.")
        service.find(device)

    def absent(device: str, why: str) -> None:
        say(f"{device} is absent: {why}")
        service.lose(device, why)

    callbacks = Callbacks(
        handle=handle,
        on_present=present,
        on_absent=absent,
        on_trouble=lambda device, error: say(f"{device}: not recorded: {error}"),
    )
    return open_listener(scanner, callbacks, service.clock)
