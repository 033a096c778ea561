"""One backup a day, after closing time: made once, verified, kept for a while, and never in the way of a scan."""

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from floor.core.rules.day import backed_up, backup_due
from floor.ledger import Ledger
from floor.ledger.copying import copy_to_file, opened_copy
from floor.ledger.sqlite import SqliteLedger
from floor.service.backups import Backups, backup_files, newest_good, trouble_of
from floor.service.service import Service
from floor.service.timekeeper import Timekeeper
from shared.clock import SetClock
from shared.events.floor import WorkDone
from shared.files.shop import Shop, parse_shop
from tests.floor.service.test_service import read, take_job
from tests.making import MONDAY, Play, shop, shop_data
from tests.measured import WAIT_S

CLOSING = datetime(2026, 11, 23, 22, 0, tzinfo=UTC)
"""Five in the afternoon in New York, that Monday."""
ONE_MINUTE = timedelta(minutes=1)
ONE_DAY = timedelta(days=1)


class Night:
    """A floor with a ledger in a file, and its backups."""

    def __init__(self, service: Service, clock: SetClock, folder: Path) -> None:
        self.service, self.clock = service, clock
        self.told: list[str] = []
        self.backups = Backups(service, folder, self.told.append)

    def names(self) -> list[str]:
        return [file.name for file in backup_files(self.backups.folder)]

    def marks(self) -> list[str]:
        return [row.event.period for row in self.service.ledger.rows() if isinstance(row.event, WorkDone)]

    def pass_until(self, end: datetime, step: timedelta = timedelta(minutes=20)) -> None:
        """Look again and again, as the scheduler does."""
        while self.clock.now() < end:
            self.clock.set(min(self.clock.now() + step, end))
            self.backups.chore.look()


def a_shop(keep: int = 14) -> Shop:
    return parse_shop(shop_data(backups={"keep": keep}))


@contextmanager
def night(folder: Path, keep: int = 14, at: datetime = MONDAY) -> Iterator[Night]:
    clock = SetClock(at)
    with (
        closing(SqliteLedger(f"sqlite:///{folder}/ledger.db")) as ledger,
        Service(a_shop(keep), ledger, clock) as service,
    ):
        if ledger.head() == 0:
            take_job(service)
        yield Night(service, clock, folder)


def flip_a_bit(file: Path) -> None:
    content = bytearray(file.read_bytes())
    content[content.index(b"rowing club")] ^= 0x01
    file.write_bytes(content)


# When it is due


def due_at(now: datetime, *done: str) -> date | None:
    play = Play()
    play.job()
    for period in done:
        play.happens(WorkDone(task="backup", period=period))
    return backup_due(play.floor, play.shop, now)


def test_a_day_is_due_from_its_closing_time_on() -> None:
    assert due_at(CLOSING - ONE_MINUTE, "2026-11-22") is None
    assert due_at(CLOSING, "2026-11-22") == date(2026, 11, 23)
    assert due_at(CLOSING, "2026-11-23") is None


def test_a_day_without_hours_is_due_when_it_is_over() -> None:
    sunday_evening = datetime(2026, 11, 30, 4, 59, tzinfo=UTC)
    assert due_at(sunday_evening, "2026-11-28") is None
    assert due_at(sunday_evening + ONE_MINUTE, "2026-11-28") == date(2026, 11, 29)


def test_after_three_days_of_downtime_one_backup_is_due_and_not_three() -> None:
    assert due_at(CLOSING + 3 * ONE_DAY, "2026-11-22") == date(2026, 11, 26)
    assert due_at(CLOSING + 3 * ONE_DAY, "2026-11-22", "2026-11-26") is None


def test_a_mark_made_by_a_clock_that_ran_ahead_stops_no_backup() -> None:
    assert due_at(CLOSING, "2031-01-01") == date(2026, 11, 23)


def test_a_night_shift_is_due_when_it_ends_on_the_next_day() -> None:
    hours = {"mon": ["22:00-02:00"], "tue": ["22:00-02:00"]}
    by_night = parse_shop(shop_data(hours=hours))
    play = Play(by_night)
    play.job()
    ends = datetime(2026, 11, 24, 7, 0, tzinfo=UTC)
    assert backup_due(play.floor, by_night, ends - ONE_MINUTE) == date(2026, 11, 22)
    assert backup_due(play.floor, by_night, ends) == date(2026, 11, 23)


def test_an_empty_ledger_needs_no_backup() -> None:
    assert backup_due(Play().floor, shop(), CLOSING) is None


def test_a_day_is_marked_once() -> None:
    play = Play()
    play.job()
    day = date(2026, 11, 23)
    play.record(backed_up(play.floor, day, CLOSING))
    assert play.floor.worked == {"backup": "2026-11-23"}
    assert backed_up(play.floor, day, CLOSING) == []


# What is made


def test_each_day_gets_one_backup_over_a_change_of_the_zone_s_offset(tmp_path: Path) -> None:
    saturday_noon = datetime(2026, 10, 31, 16, tzinfo=UTC)
    with night(tmp_path, at=saturday_noon) as floor:
        floor.pass_until(datetime(2026, 11, 3, 12, tzinfo=UTC))
        assert floor.told == []
        assert floor.names() == [f"ledger-2026-{day}.db" for day in ("11-02", "11-01", "10-31", "10-30")]
        assert floor.marks() == ["2026-10-30", "2026-10-31", "2026-11-01", "2026-11-02"]


def test_a_backup_is_the_ledger_up_to_then_and_the_mark_comes_after_it(tmp_path: Path) -> None:
    with night(tmp_path, at=CLOSING) as floor:
        before = list(floor.service.ledger.stored())
        floor.backups.chore.look()
        with opened_copy(floor.backups.folder / "ledger-2026-11-23.db") as copied:
            assert list(copied.stored()) == before
        assert floor.marks() == ["2026-11-23"]


def test_a_restart_does_not_back_up_again_and_three_days_down_are_one_backup(tmp_path: Path) -> None:
    with night(tmp_path, at=CLOSING) as floor:
        floor.backups.chore.look()
    with night(tmp_path, at=CLOSING + ONE_MINUTE) as floor:
        floor.backups.chore.look()
        assert floor.marks() == ["2026-11-23"]
    with night(tmp_path, at=CLOSING + 3 * ONE_DAY) as floor:
        floor.backups.chore.look()
        floor.backups.chore.look()
        assert floor.marks() == ["2026-11-23", "2026-11-26"]
        assert floor.names() == ["ledger-2026-11-26.db", "ledger-2026-11-23.db"]


def test_a_floor_that_was_killed_between_backup_and_mark_keeps_that_backup(tmp_path: Path) -> None:
    with night(tmp_path, at=CLOSING) as floor:
        floor.backups.folder.mkdir()
        file = floor.backups.folder / "ledger-2026-11-23.db"
        copy_to_file(floor.service.ledger, file)
        made = file.stat()
        floor.backups.chore.look()
        assert (file.stat().st_ino, file.stat().st_mtime_ns) == (made.st_ino, made.st_mtime_ns)
        assert floor.marks() == ["2026-11-23"]


def test_the_newest_good_ones_stay_and_a_bad_one_does_not_count(tmp_path: Path) -> None:
    with night(tmp_path, keep=3) as floor:
        floor.pass_until(CLOSING + 3 * ONE_DAY)
        assert floor.names() == [f"ledger-2026-11-{day}.db" for day in (26, 25, 24)]
        flip_a_bit(floor.backups.folder / "ledger-2026-11-25.db")
        floor.pass_until(CLOSING + 4 * ONE_DAY)
        assert floor.names() == [f"ledger-2026-11-{day}.db" for day in (27, 26, 25, 24)]
        [told] = floor.told
        assert "ledger-2026-11-25.db" in told
        assert "row 2: it was changed" in told


def test_a_shop_that_keeps_none_gets_none(tmp_path: Path) -> None:
    with night(tmp_path, keep=0, at=CLOSING) as floor:
        floor.backups.chore.look()
        assert (floor.names(), floor.marks()) == ([], [])


def test_a_backup_that_fails_is_told_once_an_hour_and_made_when_it_can_be(tmp_path: Path) -> None:
    (tmp_path / "backups").write_text("a file where the folder should be", encoding="utf-8")
    with night(tmp_path, at=CLOSING) as floor:
        floor.pass_until(CLOSING + timedelta(hours=2, minutes=30), step=ONE_MINUTE)
        assert len(floor.told) == 3
        assert all("The ledger was not backed up" in told for told in floor.told)
        assert floor.marks() == []
        (tmp_path / "backups").unlink()
        floor.pass_until(CLOSING + timedelta(hours=3), step=ONE_MINUTE)
        assert floor.marks() == ["2026-11-23"]
        assert len(floor.told) == 3


def test_of_a_damaged_ledger_no_backup_is_made_and_the_row_is_told(tmp_path: Path) -> None:
    with night(tmp_path, at=CLOSING) as floor:
        with closing(sqlite3.connect(tmp_path / "ledger.db")) as connection, connection:
            connection.execute("UPDATE ledger SET station = 'x' WHERE seq = 2")
        floor.backups.chore.look()
        assert (floor.names(), floor.marks()) == ([], [])
        assert "row 2: it was changed" in floor.told[0]


class Slow:
    """A ledger that can be stopped while it is read."""

    def __init__(self, ledger: Ledger) -> None:
        self._ledger = ledger
        self.reading, self.go_on = threading.Event(), threading.Event()

    def __getattr__(self, name: str) -> object:
        return getattr(self._ledger, name)

    def stored(self, after: int = 0, until: int | None = None) -> Iterator[object]:
        self.reading.set()
        assert self.go_on.wait(WAIT_S)
        return self._ledger.stored(after, until)


def test_scans_are_answered_while_the_scheduler_makes_a_backup_and_nobody_starts_another(tmp_path: Path) -> None:
    with closing(SqliteLedger(f"sqlite:///{tmp_path}/ledger.db")) as ledger:
        slow, clock = Slow(ledger), SetClock(CLOSING)
        with Service(a_shop(), slow, clock) as service:  # type: ignore[arg-type]
            [piece] = take_job(service).pieces
            floor = Night(service, clock, tmp_path)
            done = threading.Event()
            keeper = Timekeeper(service, each_minute=[floor.backups.chore.look])
            service.follow(lambda: done.set() if floor.marks() else None)
            keeper.start()
            assert slow.reading.wait(WAIT_S), "the scheduler made no backup"
            assert service.scan(read(piece)).outcome == "accepted"
            floor.backups.chore.look()
            slow.go_on.set()
            assert done.wait(WAIT_S), "the backup was not finished"
            keeper.stop()
            floor.backups.chore.stop()
            assert (floor.marks(), floor.told) == (["2026-11-23"], [])


def test_a_backup_is_given_up_when_the_floor_closes_and_made_at_the_next_start(tmp_path: Path) -> None:
    with night(tmp_path, at=CLOSING) as floor:
        take_job(floor.service, pieces=1_200)
        floor.backups.chore.stop()
        floor.backups.chore.look()
        assert (floor.names(), floor.marks(), floor.told) == ([], [], [])
    with night(tmp_path, at=CLOSING) as floor:
        floor.backups.chore.look()
        assert floor.names() == ["ledger-2026-11-23.db"]


# Which one to go back to


def test_the_newest_good_backup_is_found_beneath_a_bad_one(tmp_path: Path) -> None:
    assert newest_good(tmp_path / "backups") is None
    with night(tmp_path) as floor:
        floor.pass_until(CLOSING + ONE_DAY)
        newest, before = backup_files(floor.backups.folder)[:2]
        assert newest_good(floor.backups.folder) == newest
        flip_a_bit(newest)
        assert newest_good(floor.backups.folder) == before
        newest.write_bytes(b"")
        assert newest_good(floor.backups.folder) == before
        assert "no ledger" in (trouble_of(newest) or "")


@pytest.mark.parametrize("name", ["notes.txt", "ledger-until-2026-11-23T220000Z.db", "ledger-old.db"])
def test_other_files_in_the_folder_are_nobody_s_business(name: str, tmp_path: Path) -> None:
    (tmp_path / name).write_text("x", encoding="utf-8")
    assert backup_files(tmp_path) == []
