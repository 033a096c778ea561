"""The report of a week is written by the floor itself, once, also after a downtime; late scans make a revision."""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Event
from uuid import uuid4

import pytest
from openpyxl import load_workbook

from floor.ledger.check import first_trouble
from floor.ledger.sqlite import SqliteLedger
from floor.reports.weekly import WRITERS, WeeklyReports
from floor.service.service import Service
from floor.service.timekeeper import Timekeeper
from shared.clock import SetClock
from shared.events.floor import WeekReported
from shared.events.reads import Undone
from shared.events.recorded import Fact
from shared.files.jobfile import parse_job
from shared.files.shop import parse_shop
from shared.scan import Scan
from tests.making import DARK_WALK, MONDAY, job_data, shop_data
from tests.measured import WAIT_S

NEXT_MONDAY = MONDAY + timedelta(days=7)


class Office:
    """A floor with a ledger in a file, and its weekly reports."""

    def __init__(self, service: Service, clock: SetClock, folder: Path) -> None:
        self.service, self.clock = service, clock
        self.told: list[str] = []
        self.weekly = WeeklyReports(service, folder, self.told.append)

    def look(self) -> list[str]:
        """Look, and say which reports there are then, whatever their form."""
        self.weekly.chore.look()
        return sorted({file.stem for file in self.weekly.folder.glob("*")})

    def marks(self) -> list[tuple[str, int]]:
        events = [row.event for row in self.service.ledger.rows()]
        return [(event.week, event.revision) for event in events if isinstance(event, WeekReported)]

    def walk(self, piece: str, at: datetime) -> None:
        for station, after_s in DARK_WALK:
            at += timedelta(seconds=after_s)
            scan = Scan(read_id=uuid4().hex, text=piece, at=at, device="gun", station=station)
            assert self.service.scan(scan).good

    def undo(self, piece: str, row: int) -> None:
        fact = Fact(event=Undone(piece=piece, rows=(row,)), occurred_at=self.clock.now())
        self.service.record(lambda _floor: ([fact], None))


@contextmanager
def office(
    folder: Path, *, weekly: bool = True, zone: str = "America/New_York", at: datetime = MONDAY
) -> Iterator[Office]:
    clock = SetClock(at)
    data = shop_data(reports={"weekly": weekly})
    data["shop"]["zone"] = zone
    shop = parse_shop(data)
    with closing(SqliteLedger(f"sqlite:///{folder}/ledger.db")) as ledger, Service(shop, ledger, clock) as service:
        yield Office(service, clock, folder)


def take(it: Office, pieces: int = 2) -> tuple[str, ...]:
    order = parse_job(job_data(sizes={"M": pieces}), it.service.shop)
    return it.service.take(order).pieces


def test_a_week_is_reported_once_when_it_is_over(tmp_path: Path) -> None:
    with office(tmp_path) as it:
        take(it)
        assert it.look() == []
        it.clock.set(NEXT_MONDAY)
        assert it.look() == it.look() == ["2026-W48"]
        assert it.marks() == [("2026-W48", 0)]


def test_every_form_of_the_report_is_written_whole_and_told(tmp_path: Path) -> None:
    with office(tmp_path) as it:
        take(it)
        it.clock.set(NEXT_MONDAY)
        it.look()
        assert {file.name for file in it.weekly.folder.iterdir()} == {f"2026-W48.{form}" for form in WRITERS}
        assert len(it.told) == len(WRITERS)


def test_after_a_downtime_every_week_is_reported_once(tmp_path: Path) -> None:
    with office(tmp_path) as it:
        take(it)
        it.clock.set(NEXT_MONDAY)
        it.look()
        it.clock.set(NEXT_MONDAY + timedelta(days=21))
        assert it.look() == ["2026-W48", "2026-W49", "2026-W50", "2026-W51"]


def test_a_late_scan_makes_a_revision_and_leaves_what_was_written(tmp_path: Path) -> None:
    with office(tmp_path) as it:
        piece, _ = take(it)
        it.clock.set(NEXT_MONDAY)
        it.look()
        before = (it.weekly.folder / "2026-W48.xlsx").read_bytes()
        it.walk(piece, MONDAY)
        assert it.look() == it.look() == ["2026-W48", "2026-W48-revision-1"]
        assert (it.weekly.folder / "2026-W48.xlsx").read_bytes() == before
        week = load_workbook(it.weekly.folder / "2026-W48-revision-1.xlsx")["week"]
        assert ("revision", "1") in [(row[0].value, row[1].value) for row in week.iter_rows()]


def test_a_late_scan_that_changes_nothing_of_the_report_makes_no_revision(tmp_path: Path) -> None:
    with office(tmp_path) as it:
        take(it)
        it.clock.set(NEXT_MONDAY)
        it.look()
        it.service.scan(Scan(read_id="late", text="no code", at=MONDAY, device="gun", station="packing"))
        assert it.look() == ["2026-W48"]
        assert it.marks() == [("2026-W48", 0), ("2026-W48", 0)]


def test_what_is_undone_in_a_week_that_was_reported_makes_a_revision(tmp_path: Path) -> None:
    with office(tmp_path) as it:
        piece, _ = take(it)
        it.walk(piece, MONDAY)
        it.clock.set(NEXT_MONDAY)
        it.look()
        with it.service.reading() as floor:
            assert not floor.closed_weeks.weeks["2026-W48"].late
            done = floor.pieces[piece].facts[-1]
        it.undo(piece, done.seq)
        assert it.look() == ["2026-W48", "2026-W48-revision-1"]


def test_a_shop_that_wants_none_gets_none(tmp_path: Path) -> None:
    with office(tmp_path, weekly=False) as it:
        take(it)
        it.clock.set(NEXT_MONDAY)
        assert it.look() == []


def test_a_failure_is_told_and_tried_again_in_another_hour(tmp_path: Path) -> None:
    with office(tmp_path) as it:
        take(it)
        it.clock.set(NEXT_MONDAY)
        it.weekly.folder.write_text("in the way")
        it.weekly.chore.look()
        it.weekly.chore.look()
        assert len(it.told) == 1
        assert "not written" in it.told[0]
        it.weekly.folder.unlink()
        it.clock.set(NEXT_MONDAY + timedelta(hours=1))
        assert it.look() == ["2026-W48"]


def test_the_timekeeper_writes_it(tmp_path: Path) -> None:
    with office(tmp_path) as it:
        take(it)
        it.clock.set(NEXT_MONDAY)
        written = Event()
        it.weekly = WeeklyReports(it.service, tmp_path, lambda _line: written.set())
        keeper = Timekeeper(it.service, each_minute=[it.weekly.chore.look])
        keeper.start()
        assert written.wait(WAIT_S)
        keeper.stop()


def test_the_report_that_the_floor_wrote_bears_the_head_that_the_ledger_had_then(tmp_path: Path) -> None:
    with office(tmp_path) as its:
        [piece] = its.service.take(parse_job(job_data(), its.service.shop)).pieces
        its.walk(piece, MONDAY)
        head = its.service.ledger.noted_head()
        its.clock.set(NEXT_MONDAY)
        [stem] = its.look()
        rows = load_workbook(its.weekly.folder / f"{stem}.xlsx")["week"].iter_rows(values_only=True)
        assert {row[0]: row[1] for row in rows}["ledger"] == f"{head.seq}:{head.hash[:16]}"


@pytest.mark.fault
def test_what_happened_about_midnight_is_in_one_week_s_report_also_when_the_shop_s_zone_is_changed(
    tmp_path: Path,
) -> None:
    """Walked on Monday at 01:00 in Berlin: in New York that is Sunday, in a week that has its report already."""
    reported = MONDAY + timedelta(days=8)
    with office(tmp_path, zone="Europe/Berlin") as berlin:
        piece, late = take(berlin)
        berlin.walk(piece, MONDAY)
        berlin.clock.set(NEXT_MONDAY)
        assert berlin.look() == ["2026-W48"]
        berlin.clock.set(reported)
        berlin.walk(late, datetime(2026, 11, 30, 0, 0, tzinfo=UTC))
        assert packed(berlin) == {"2026-W48": 1}
    with office(tmp_path, zone="America/New_York", at=reported) as new_york:
        assert new_york.look() == new_york.look() == ["2026-W48", "2026-W48-revision-1"]
        assert packed(new_york) == {"2026-W48": 1, "2026-W48-revision-1": 2}
        new_york.clock.set(reported + timedelta(days=7))
        assert packed(new_york)["2026-W49"] == 0
        assert first_trouble(new_york.service.ledger) is None


def packed(office: Office) -> dict[str, object]:
    """How many pieces were finished, as each report that was written has it."""
    return {stem: finished(office.weekly.folder / f"{stem}.xlsx") for stem in office.look()}


def finished(file: Path) -> object:
    rows = load_workbook(file)["week"].iter_rows(values_only=True)
    return next(figure for what, _, figure in rows if what == "finished")
