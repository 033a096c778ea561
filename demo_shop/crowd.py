"""`python -m demo_shop.crowd DIR`: a shop in which everything happens at once, for everybody who looks at a screen.

Never a day that was played: what stands on its walls is put there read by read, and its clock stands still.
"""

import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path
from uuid import uuid4

import click
import tomlkit

from demo_shop.office import Office
from floor.cli.opening import Folder
from floor.core.plan.alarms import changes
from floor.doors.access import Access
from floor.doors.benches import Benches
from floor.service.service import Service
from floor.web.app import Settings
from floor.web.metrics import Metrics
from floor.web.server import serving
from shared.clock import SetClock
from shared.codes import CodeType, make, serial_of_name
from shared.files.cards import STATION_DOWN
from shared.files.jobfile import JobFile, parse_job
from shared.files.shop import Shop
from shared.files.shopfile import FILE_NAME
from shared.scan import Scan

AT = datetime.fromisoformat("2026-11-17T14:05:00-05:00")
"""A Tuesday afternoon; on this crowd's wall it is always that moment."""
JOBS, PRESSES, WET = 60, 8, 30
MINUTE = timedelta(minutes=1)
LONG = "The Society for the Restoration and Preservation of Rowing Boats and Boat Houses"
"""Eighty characters."""
CUSTOMERS = ("Mill Lane choir", "Old Quay bakery and coffee roasters", "St Brendan's school", LONG, "Nib & Co")
OVER_TIME = ("press 2", "press 5")
"""Presses whose pieces should have been taken out."""
IDLE, DOWN = "press 8", "press 7"
HANDS = {"pretreat booth": "Cedar", "printer 1": "Ash", "printer 2": "Damson"}
"""Who works where; Birch works at the presses."""


def furnish(folder: Path, language: str = "en") -> Folder:
    """A shop folder with a crowd in it. Raises FileExistsError for a folder that is there."""
    folder.mkdir(parents=True)
    (folder / FILE_NAME).write_text(_shop_file(language), encoding="utf-8")
    clock = SetClock(AT)
    office = Office(folder, clock)
    office.command("init", str(folder), "--empty-ledger")
    with office.folder.service() as service:
        Crowd(service, clock).gather()
    return office.folder


def _shop_file(language: str) -> str:
    """The shop file of a new shop, with presses for a crowd."""
    from floor.cli import settle

    text = Path(settle.__file__).with_name("new_shop.toml").read_text(encoding="utf-8")
    data = tomlkit.parse(text)
    data["shop"].update({"name": "The crowded print room", "language": language})
    [press] = [station for station in data["stations"] if station["name"] == "press 1"]
    for number in range(2, PRESSES + 1):
        data["stations"].append({**press, "name": f"press {number}"})
    data["badges"] = [{"name": name} for name in ("Ash", "Birch", "Cedar", "Damson")]
    data["stations"].append({"name": "printer 2", "steps": ["underlayer", "colour"], "machine_per_hour": "6.00"})
    return tomlkit.dumps(data)


class Crowd:
    """Fills a floor: sixty jobs by many customers, presses that are over their time, and wet ink in a row."""

    def __init__(self, service: Service, clock: SetClock) -> None:
        self._service = service
        self._clock = clock
        self._shop: Shop = service.shop

    def gather(self) -> None:
        """All of it; the last moment is AT."""
        self._clock.set(AT - timedelta(hours=6))
        pieces = [self._take(number) for number in range(JOBS)]
        self._clock.set(AT - timedelta(hours=2))
        for first, *_ in pieces[PRESSES + WET :: 3]:
            self._read(first, "pretreat booth", self._clock.advance(MINUTE))
        self._press([first for first, *_ in pieces[:PRESSES]])
        self._lay_wet([first for first, *_ in pieces[PRESSES : PRESSES + WET - 1]])
        self._hold("J0058", "the blanks are late")
        self._clock.set(AT)
        self._service.record(lambda floor: (changes(floor, self._shop, AT), None))

    def _take(self, number: int) -> Sequence[str]:
        return self._service.take(self._order(number)).pieces

    def _order(self, number: int) -> JobFile:
        light = number < PRESSES + WET
        line = {
            "design": f"design {number + 1}",
            "item": "heavy tee",
            "colour": "white" if light else "navy",
            "sizes": {"M": 1 + number % 7, "L": number % 3 + 1},
            "price_each": "21.50",
            "prints": [{"place": "front", "width_mm": 305, "height_mm": 330}],
        }
        due = AT + MINUTE * (45 * number - 120)
        customer = CUSTOMERS[number % len(CUSTOMERS)]
        return parse_job({"customer": customer, "due": due, "lines": [line]}, self._shop)

    def _press(self, pieces: Sequence[str]) -> None:
        """A piece in each press but one that is free; two are over their time, one press is down."""
        presses = [press for press in self._shop.presses if press != IDLE]
        for n, (piece, press) in enumerate(zip(pieces, presses, strict=False)):
            closed = AT - (20 * MINUTE if press in OVER_TIME else timedelta(seconds=6 * n + 8))
            self._read(piece, "printer 1", closed - MINUTE)
            self._read(piece, press, closed)
        down = make(CodeType.COMMAND, serial_of_name(STATION_DOWN))
        self._read(down, DOWN, AT - timedelta(seconds=2))

    def _lay_wet(self, pieces: Sequence[str]) -> None:
        """Printed one after the other since forty minutes ago; the first of them lie wet for too long.

        One more is wet: what lies in the press that is down.
        """
        for n, piece in enumerate(pieces):
            self._read(piece, f"printer {1 + n % 2}", AT - (len(pieces) - n) * timedelta(seconds=80))

    def _hold(self, job: str, why: str) -> None:
        from floor.core.orders.jobs import hold

        self._service.record(lambda floor: ([hold(floor, job, why, AT - MINUTE)], None))

    def _read(self, code: str, station: str, at: datetime) -> None:
        self._clock.set(max(self._clock.now(), at))
        scan = Scan(
            read_id=uuid4().hex,
            text=code,
            at=at,
            device=f"gun {station}",
            station=station,
            badge=HANDS.get(station, "Birch"),
        )
        answer = self._service.scan(scan)
        assert answer.good, answer.say


@contextmanager
def open_crowd(folder: Folder) -> Iterator[str]:
    """The pages of a crowd, until the block ends; where they are."""
    heard: list[str] = []
    with folder.service() as service:
        settings = Settings(
            folder=folder.path,
            benches=Benches(folder.path),
            access=Access(folder.path),
            metrics=Metrics(service),
            scan=service.scan,
        )
        with serving(service, settings, heard.append):
            yield heard[0]


@click.command()
@click.argument("directory", type=click.Path(path_type=Path))
@click.option("--language", type=click.Choice(["en", "de"]), default="en", show_default=True)
@click.option("--serve", is_flag=True, help="Serve its pages until Ctrl-C.")
def crowd(directory: Path, language: str, serve: bool) -> None:
    """Make a crowded shop in DIRECTORY, which must not exist yet; one that does is only served."""
    known = directory / FILE_NAME
    folder = Folder(directory, SetClock(AT)) if known.exists() else furnish(directory, language)
    click.echo(f"A crowd of {JOBS} jobs: piecewalk --shop {directory} wall --at {AT.isoformat()}")
    if serve:
        with open_crowd(folder) as where:
            click.echo(where)
            threading.Event().wait()


if __name__ == "__main__":
    crowd()
