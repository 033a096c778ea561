"""The timekeeper: what falls due is recorded once, at its time, also after a restart."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from queue import Queue

import pytest

from floor.ledger import MemoryLedger, Unavailable
from floor.service import timekeeper
from floor.service.service import Service
from floor.service.timekeeper import Timekeeper
from shared.clock import SetClock, SystemClock
from shared.codes import CodeType
from shared.events.floor import AlarmCleared, AlarmRaised
from shared.files.shop import parse_shop
from shared.scan import Scan
from tests.floor.ledger.gate import GatedLedger
from tests.floor.service.test_service import take_job
from tests.making import DARK_WALK, MONDAY, card, shop, shop_data
from tests.measured import WAIT_S

WET = 4
"""Stops of the standard walk after which a piece is wet; one more, and it is in the press."""


class Played:
    """A service with its clock, its ledger and its timekeeper, and one dark garment."""

    def __init__(self, service: Service, clock: SetClock, ledger: MemoryLedger) -> None:
        self.service, self.clock, self.ledger = service, clock, ledger
        self.keeper = Timekeeper(service)
        self.piece = take_job(service).pieces[0]
        self.number = 0

    def walk(self, stops: int) -> None:
        for station, after_s in DARK_WALK[:stops]:
            self.scan(station, after_s)

    def scan(self, station: str, after_s: float) -> None:
        self.number += 1
        at = self.clock.advance(timedelta(seconds=after_s))
        self.service.scan(Scan(read_id=str(self.number), text=self.piece, at=at, device="gun", station=station))

    def look_until(self, moment: datetime) -> None:
        """Go from deadline to deadline, as the scheduler would."""
        while (deadline := self.keeper.look()) is not None and deadline <= moment:
            self.clock.set(deadline)
        self.clock.set(moment)
        self.keeper.look()

    def alarms(self) -> list[tuple[str, str]]:
        return [
            ("+" if isinstance(row.event, AlarmRaised) else "-", row.event.alarm)
            for row in self.ledger.rows()
            if isinstance(row.event, AlarmRaised | AlarmCleared)
        ]


@contextmanager
def played() -> Iterator[Played]:
    clock, ledger = SetClock(MONDAY), MemoryLedger()
    with Service(shop(), ledger, clock) as service:
        yield Played(service, clock, ledger)


def test_a_press_that_can_be_opened_is_told_at_that_very_second() -> None:
    with played() as floor:
        floor.walk(WET + 1)
        closed = floor.clock.now()
        assert floor.keeper.look() == closed + timedelta(seconds=180)
        floor.look_until(closed + timedelta(seconds=181))
        raised = [row for row in floor.ledger.rows() if isinstance(row.event, AlarmRaised)]
        assert [(row.event.alarm, row.occurred_at) for row in raised] == [  # type: ignore[attr-defined]
            ("press open now", closed + timedelta(seconds=180))
        ]


def test_a_press_left_closed_is_over_its_time_and_opening_it_ends_the_alarm() -> None:
    with played() as floor:
        floor.walk(WET + 1)
        floor.look_until(floor.clock.now() + timedelta(seconds=300))
        floor.scan("press 1", 1)
        floor.keeper.look()
        assert floor.alarms() == [
            ("+", "press open now"),
            ("-", "press open now"),
            ("+", "press over time"),
            ("-", "press over time"),
        ]


def test_a_piece_that_lies_wet_beyond_the_limit_is_told_once_and_until_it_is_pressed() -> None:
    with played() as floor:
        floor.walk(WET)
        floor.look_until(floor.clock.now() + timedelta(seconds=1_500))
        floor.scan("press 1", 10)
        floor.keeper.look()
        assert floor.alarms() == [("+", "wet too long"), ("-", "wet too long")]


def test_what_fell_due_while_the_floor_was_down_is_told_at_the_next_start() -> None:
    clock, ledger = SetClock(MONDAY), MemoryLedger()
    with Service(shop(), ledger, clock) as service:
        floor = Played(service, clock, ledger)
        floor.walk(WET)
        printed = clock.now()
    clock.advance(timedelta(hours=1))
    with Service(shop(), ledger, clock) as service:
        Timekeeper(service).look()
        raised = [row.event for row in ledger.rows() if isinstance(row.event, AlarmRaised)]
        assert [(event.alarm, event.since) for event in raised] == [
            ("wet too long", printed + timedelta(seconds=1_200))
        ]


def test_looking_again_records_nothing_more() -> None:
    with played() as floor:
        floor.walk(WET)
        floor.look_until(floor.clock.now() + timedelta(days=2))
        head = floor.ledger.head()
        floor.keeper.look()
        assert floor.ledger.head() == head


def test_care_that_was_not_taken_is_told_until_its_card_is_read() -> None:
    with played() as floor:
        floor.look_until(floor.clock.now() + timedelta(hours=8))
        assert floor.alarms() == [("+", "care due")]


def test_who_forgot_to_sign_out_is_signed_out_at_the_end_of_the_day() -> None:
    with played() as floor:
        scan = Scan(
            read_id="badge", text=card(CodeType.BADGE, "A"), at=floor.clock.now(), device="gun", station="packing"
        )
        floor.service.scan(scan)
        floor.look_until(floor.clock.now() + timedelta(days=1))
        with floor.service.reading() as state:
            assert state.stations["packing"].hands_at(floor.clock.now()) is None


def test_the_scheduler_looks_by_itself_as_soon_as_the_ledger_grows() -> None:
    """With the computer's own scheduler: a piece is wet too long already when its scan arrives."""
    clock, ledger = SetClock(MONDAY), MemoryLedger()
    raised = threading.Event()
    with Service(shop(), ledger, clock) as service:
        floor = Played(service, clock, ledger)
        service.follow(lambda: raised.set() if floor.alarms() else None)
        floor.keeper.start()
        floor.walk(WET)
        clock.advance(timedelta(hours=1))
        service.scan(Scan(read_id="nudge", text="0", at=clock.now(), device="gun", station="packing"))
        assert raised.wait(WAIT_S), "the timekeeper did not look"
        floor.keeper.stop()


# Restarts, sleep, and clocks that are set


def test_a_restart_neither_raises_an_alarm_again_nor_forgets_to_clear_it() -> None:
    clock, ledger = SetClock(MONDAY), MemoryLedger()
    with Service(shop(), ledger, clock) as service:
        floor = Played(service, clock, ledger)
        floor.walk(WET)
        floor.look_until(clock.now() + timedelta(seconds=1_300))
    with Service(shop(), ledger, clock) as service:
        floor.service, floor.keeper = service, Timekeeper(service)
        floor.keeper.look()
        assert floor.alarms() == [("+", "wet too long")]
        floor.scan("press 1", 10)
        floor.keeper.look()
        assert floor.alarms() == [("+", "wet too long"), ("-", "wet too long")]


def test_a_machine_that_slept_finds_at_once_what_stands_and_not_what_came_and_went() -> None:
    """It slept through the end of the dwell; the press is over its time by now."""
    with played() as floor:
        floor.walk(WET + 1)
        closed = floor.clock.now()
        floor.keeper.look()
        floor.clock.advance(timedelta(hours=9))
        floor.keeper.look()
        assert floor.alarms() == [("+", "press over time"), ("+", "care due")]
        raised = next(row.event for row in floor.ledger.rows() if isinstance(row.event, AlarmRaised))
        assert raised.since == closed + timedelta(seconds=180 + 60)


def test_alarms_of_a_clock_that_ran_ahead_are_cleared_when_it_is_set_right() -> None:
    with played() as floor:
        floor.walk(WET)
        right = floor.clock.now()
        floor.clock.set(right + timedelta(days=365))
        floor.keeper.look()
        floor.clock.set(right + timedelta(seconds=10))
        assert floor.keeper.look() == right + timedelta(seconds=1_200)
        with floor.service.reading() as state:
            assert not state.alarms
        floor.look_until(right + timedelta(seconds=1_200))
        with floor.service.reading() as state:
            assert list(state.alarms) == [("wet too long", floor.piece)]


def test_a_clock_that_was_set_back_raises_nothing_before_its_time() -> None:
    with played() as floor:
        floor.walk(WET + 1)
        closed = floor.clock.now()
        floor.clock.set(closed - timedelta(hours=1))
        assert floor.keeper.look() == closed + timedelta(seconds=180)
        assert floor.alarms() == []
        floor.look_until(closed + timedelta(seconds=180))
        assert floor.alarms() == [("+", "press open now")]


def test_a_shop_that_moves_to_another_zone_changes_no_alarm() -> None:
    """Lord Howe, with its half-hours, the night the clocks go forward."""
    clock, ledger = SetClock(MONDAY), MemoryLedger()
    with Service(shop(), ledger, clock) as service:
        floor = Played(service, clock, ledger)
        floor.walk(WET)
        floor.look_until(clock.now() + timedelta(seconds=1_300))
    data = shop_data()
    data["shop"]["zone"] = "Australia/Lord_Howe"
    head = ledger.head()
    with Service(parse_shop(data), ledger, clock) as service:
        Timekeeper(service).look()
        assert ledger.head() == head


def test_a_computer_whose_clock_is_set_back_is_looked_at_all_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """With its own scheduler, which would sleep for an hour: a piece is wet too long, and a backup may be due."""
    ahead = SetClock(SystemClock().now() + timedelta(hours=1))
    monkeypatch.setattr(timekeeper, "SystemClock", lambda: ahead)
    monkeypatch.setattr(timekeeper, "EACH_MINUTE_S", 0.2)
    raised, backup = threading.Event(), threading.Event()
    with played() as floor:
        floor.walk(WET)
        floor.clock.advance(timedelta(hours=1))
        floor.service.follow(lambda: raised.set() if floor.alarms() else None)
        keeper = Timekeeper(floor.service, each_minute=[backup.set])
        keeper.start()
        ahead.set(SystemClock().now())
        assert raised.wait(WAIT_S), "nobody looked at the floor"
        assert backup.wait(WAIT_S), "nobody looked whether a backup is due"
        keeper.stop()


@pytest.mark.fault
def test_a_ledger_that_cannot_be_written_is_told_in_a_line_and_not_as_a_mistake_of_ours(
    caplog: pytest.LogCaptureFixture,
) -> None:
    ledger, told = GatedLedger(), Queue[BaseException]()
    with Service(shop(), ledger, SetClock(MONDAY)) as service:
        gone = Unavailable("gone for a while")
        ledger.failures.append(gone)
        keeper = Timekeeper(service, told.put)
        keeper.start()
        assert told.get(timeout=WAIT_S) is gone
        keeper.stop()
    assert caplog.text == ""
