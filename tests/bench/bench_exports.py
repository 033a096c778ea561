"""How fast the ledger goes out in each format, beside its plain replay in the same run, and what memory that takes.

Never compares figures of two runs: a busy machine would decide.

    python -m tests.bench.bench_exports [EVENTS]
"""

import json
import subprocess
import sys
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from time import process_time

from floor.cli.export import Source
from floor.exports.epcis import epcis_document, epcis_events
from floor.exports.flat import csv_lines
from floor.exports.vocabulary import Names
from floor.exports.xes import xes_document
from floor.ledger import Ledger, make_ledger
from shared.events.recorded import Recorded, fact_of
from tests.bench.bench_fold import realistic_ledger
from tests.floor.exports.day import NEW_YORK
from tests.making import MONDAY, shop

EVENTS = 200_000
ROUNDS = 3
"""Replay and export take turns, so that what else the machine does meets both."""
BATCH = 5_000


def _csv(source: Source) -> Iterable[bytes]:
    return csv_lines(source.rows(), NEW_YORK)


def _epcis(source: Source) -> Iterable[bytes]:
    names = Names.of_shop("bench")
    return epcis_document(epcis_events(source.stored(), source.row, names, NEW_YORK), names, MONDAY)


def _xes(source: Source) -> Iterable[bytes]:
    return xes_document(source.rows(), shop())


FORMATS: dict[str, Callable[[Source], Iterable[bytes]]] = {"csv": _csv, "epcis": _epcis, "xes": _xes}


def measure(events: int = EVENTS) -> dict[str, float]:
    """Events a second and their ratio to replay; peak megabytes at a quarter of the events and at all of them.

    Each format runs in a process of its own, which begins with nothing in its memory.
    """
    figures: dict[str, float] = {}
    with TemporaryDirectory(dir=Path.cwd()) as folder:
        few, many = (f"sqlite:///{folder}/{count}.db" for count in (events // 4, events))
        _in_a_process("make", few, many, str(events))
        for form in FORMATS:
            at_a_quarter = _in_a_process("export", few, form)
            at_all = _in_a_process("export", many, form)
            figures |= {
                f"{form} events/s": at_all["rate"],
                f"{form}/replay": at_all["ratio"],
                f"{form} peak MB, {events // 4:,} events": at_a_quarter["peak_mb"],
                f"{form} peak MB, {events:,} events": at_all["peak_mb"],
            }
    return figures


def _in_a_process(*words: str) -> dict[str, float]:
    child = [sys.executable, "-m", "tests.bench.bench_exports", *words]
    answer: dict[str, float] = json.loads(subprocess.run(child, check=True, capture_output=True, text=True).stdout)
    return answer


def _make(few: str, many: str, events: int) -> dict[str, float]:
    rows = realistic_ledger(events)
    for url, count in ((few, events // 4), (many, events)):
        with closing(make_ledger(url)) as ledger:
            for n in range(0, count, BATCH):
                _append(ledger, rows[n : min(n + BATCH, count)])
    return {}


def _append(ledger: Ledger, rows: list[Recorded]) -> None:
    with ledger.transaction() as transaction:
        transaction.append([*map(fact_of, rows)], rows[-1].recorded_at)


def _export(url: str, form: str) -> dict[str, float]:
    with closing(make_ledger(url)) as ledger:
        turns = list(_turns(Source(ledger, None), FORMATS[form]))
        replay_s, export_s = (min(seconds) for seconds in zip(*turns, strict=True))
        rows = ledger.head()
    return {"rate": rows / export_s, "ratio": replay_s / export_s, "peak_mb": _peak_mb()}


def _turns(source: Source, export: Callable[[Source], Iterable[bytes]]) -> Iterator[tuple[float, float]]:
    for _ in range(ROUNDS):
        yield _seconds(source.rows()), _seconds(export(source))


def _seconds(items: Iterable[object]) -> float:
    """What going through them all takes of this process's time."""
    started = process_time()
    deque(items, maxlen=0)
    return process_time() - started


def _peak_mb() -> float:
    """The most memory that this process ever held, which Linux alone tells."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmHWM")) / 1024


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["make", few, many, events]:
            print(json.dumps(_make(few, many, int(events))))
        case ["export", url, form]:
            print(json.dumps(_export(url, form)))
        case words:
            for name, figure in measure(*map(int, words)).items():
                print(f"{name:34} {figure:12,.2f}")
