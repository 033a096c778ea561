"""What time and devices did: care tasks, absent scanners, alarms, work of the floor itself.

Never works out what is due: that is floor.core.plan.alarms.
"""

from floor.core.folds.kinds import FOLDS
from floor.core.state.closed_weeks import ClosedWeek
from floor.core.state.floor import Alarm, Floor
from shared.events.floor import AlarmCleared, AlarmRaised, ScannerFound, ScannerLost, WeekReported, WorkDone
from shared.events.reads import CareDone
from shared.events.recorded import Recorded


@FOLDS.of(CareDone)
def care_done(floor: Floor, row: Recorded, event: CareDone) -> None:
    """The latest counts, but none that lies ahead of the ledger's own clock: that was a clock gone wrong."""
    before = floor.cared.get(event.task)
    if before is None or before > row.recorded_at:
        before = row.occurred_at
    floor.cared[event.task] = max(before, row.occurred_at)


@FOLDS.of(ScannerLost)
def scanner_lost(floor: Floor, row: Recorded, event: ScannerLost) -> None:
    floor.lost.setdefault(event.scanner, (row.occurred_at, event.why))


@FOLDS.of(ScannerFound)
def scanner_found(floor: Floor, _row: Recorded, event: ScannerFound) -> None:
    floor.lost.pop(event.scanner, None)


@FOLDS.of(AlarmRaised)
def alarm_raised(floor: Floor, _row: Recorded, event: AlarmRaised) -> None:
    floor.alarms[event.alarm, event.subject] = Alarm(
        kind=event.alarm, subject=event.subject, since=event.since, say=event.say, station=event.at_station
    )


@FOLDS.of(AlarmCleared)
def alarm_cleared(floor: Floor, _row: Recorded, event: AlarmCleared) -> None:
    floor.alarms.pop((event.alarm, event.subject), None)


@FOLDS.of(WorkDone)
def work_done(floor: Floor, _row: Recorded, event: WorkDone) -> None:
    floor.worked[event.task] = max(floor.worked.get(event.task, ""), event.period)


@FOLDS.of(WeekReported)
def week_reported(floor: Floor, _row: Recorded, event: WeekReported) -> None:
    floor.closed_weeks.close(event.week, ClosedWeek(event.end, event.revision, event.digest))
