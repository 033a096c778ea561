"""What time and devices did: care tasks, absent scanners, alarms, work of the floor itself.

Never works out what is due: that is floor.core.plan.alarms.
"""

from floor.core.folds.kinds import Folds
from floor.core.state.closed_weeks import ClosedWeek
from floor.core.state.floor import Alarm, Floor
from shared.events import (
    AlarmCleared,
    AlarmRaised,
    CareDone,
    Recorded,
    ScannerFound,
    ScannerLost,
    WeekReported,
    WorkDone,
)


def care_done(floor: Floor, row: Recorded, event: CareDone) -> None:
    """The latest counts, but none that lies ahead of the ledger's own clock: that was a clock gone wrong."""
    before = floor.cared.get(event.task)
    if before is None or before > row.recorded_at:
        before = row.occurred_at
    floor.cared[event.task] = max(before, row.occurred_at)


def scanner_lost(floor: Floor, row: Recorded, event: ScannerLost) -> None:
    floor.lost.setdefault(event.scanner, (row.occurred_at, event.why))


def scanner_found(floor: Floor, _row: Recorded, event: ScannerFound) -> None:
    floor.lost.pop(event.scanner, None)


def alarm_raised(floor: Floor, _row: Recorded, event: AlarmRaised) -> None:
    floor.alarms[event.alarm, event.subject] = Alarm(
        kind=event.alarm, subject=event.subject, since=event.since, say=event.say, station=event.at_station
    )


def alarm_cleared(floor: Floor, _row: Recorded, event: AlarmCleared) -> None:
    floor.alarms.pop((event.alarm, event.subject), None)


def work_done(floor: Floor, _row: Recorded, event: WorkDone) -> None:
    floor.worked[event.task] = max(floor.worked.get(event.task, ""), event.period)


def week_reported(floor: Floor, _row: Recorded, event: WeekReported) -> None:
    floor.closed_weeks.close(event.week, ClosedWeek(event.end, event.revision, event.digest))


FOLDS: Folds = {
    CareDone: care_done,
    ScannerLost: scanner_lost,
    ScannerFound: scanner_found,
    AlarmRaised: alarm_raised,
    AlarmCleared: alarm_cleared,
    WorkDone: work_done,
    WeekReported: week_reported,
}
