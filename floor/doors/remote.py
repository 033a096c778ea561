"""`listen`: a remote bench's scanners, its spool and its way to the floor, started and stopped together.

Never opens a ledger: the floor, at the other end of the network, has it.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from threading import Event
from typing import NamedTuple
from urllib.parse import urlsplit

from scanners.age import Timepiece
from scanners.bench import KEPT, Bench
from scanners.devices import open_listener
from scanners.forward import Notices
from scanners.listener import Callbacks, Listener, Listeners
from scanners.post import HttpPost, NoToken, checked_token
from scanners.spool import Spool
from shared.clock import Clock
from shared.files.shopfile import Scanner
from shared.scan import Answer, Scan

Say = Callable[[str], None]
LATE_S = 10.0
"""An answer that comes later than this is told with the time of its read."""


class Place(NamedTuple):
    """Where a bench sends its reads, by which token, and where it keeps them until then."""

    url: str
    token_file: Path
    spool: Path


class NotAnAddress(ValueError):
    """What was given cannot be the floor's address."""


def run_bench(scanners: Sequence[Scanner], place: Place, clock: Clock, say: Say, stop: Event) -> None:
    """Listen, keep and forward until `stop` is set; `say` gets a line for each thing that a person may want to know.

    Raises NotAnAddress, NoToken, and SpoolError when the spool cannot be opened.
    """
    _check_address(place.url)
    token(place.token_file)
    timepiece = Timepiece(clock)
    with Spool(place.spool, timepiece.stamp) as spool:
        if spool.damaged:
            say(
                f"Damaged records of the spool: {spool.damaged}. Those reads do not reach the floor. See in "
                f"{place.spool}.bad which pieces they were of, and scan these again."
            )
        with _open_bench(scanners, place, spool, timepiece, clock, say):
            say(f"The bench listens. Scanners: {len(scanners)}. Reads that wait: {len(spool)}. Stop it with Ctrl-C.")
            stop.wait()
        say(f"The bench is closed. Reads that wait in {place.spool}: {len(spool)}.")


def token(file: Path) -> str:
    """The token in a file. Raises NoToken."""
    try:
        return checked_token(file.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise NoToken(f"{file} cannot be read: {getattr(error, 'strerror', None) or 'it is no text'}") from None


def _check_address(url: str) -> None:
    try:
        parts = urlsplit(url)
        good = parts.scheme in {"http", "https"} and bool(parts.hostname) and (parts.port or 1) > 0
    except ValueError:
        good = False
    if not good:
        raise NotAnAddress(f'"{url}" is no address of a floor. Write: --to http://floor.local:8765')


@contextmanager
def _open_bench(
    scanners: Sequence[Scanner], place: Place, spool: Spool, timepiece: Timepiece, clock: Clock, say: Say
) -> Iterator[None]:
    with closing(HttpPost(place.url, lambda: token(place.token_file))) as post:
        bench = Bench(spool, post, timepiece.stamp, _notices(place, clock, say))
        listeners = Listeners([_listener(scanner, bench, clock, say) for scanner in scanners])
        bench.start()
        listeners.start()
        try:
            yield
        finally:
            bench.stop()  # first, so that no listener waits for an answer
            for device in listeners.stop(1.0):
                say(f"{device} did not let go in time.")


def _listener(scanner: Scanner, bench: Bench, clock: Clock, say: Say) -> Listener:
    def handle(scan: Scan) -> Answer:
        answer = bench.handle(scan)
        if answer is KEPT:
            say(_line(scan, answer))
        return answer

    callbacks = Callbacks(
        handle=handle,
        on_present=lambda device: say(f"{device} is there."),
        on_absent=lambda device, why: say(f"{device} is absent: {why}"),
        on_trouble=lambda device, error: say(f"{device}: {error}"),
    )
    return open_listener(scanner, callbacks, clock)


def _notices(place: Place, clock: Clock, say: Say) -> Notices:
    def answered(scan: Scan, answer: Answer) -> None:
        late = (clock.now() - scan.at).total_seconds() > LATE_S
        say(_line(scan, answer) + (f" (read {scan.at:%Y-%m-%d %H:%M:%S} UTC)" if late else ""))

    return Notices(
        on_answer=answered,
        on_set_aside=lambda scan, why: say(f"{scan.device}: {scan.text}: set aside in {place.spool}.bad: {why}"),
        on_stumble=lambda scan, why: say(f"{scan.device}: {scan.text}: kept, and tried again later: {why}"),
        on_reached=lambda: say(f"The floor at {place.url} takes reads."),
        on_unreached=lambda why: say(f"Reads are kept, the floor at {place.url} does not take them: {why}"),
    )


def _line(scan: Scan, answer: Answer) -> str:
    return f"{scan.station or scan.device}: {scan.text}: {answer.line}"
