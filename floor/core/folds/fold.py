"""The fold: what each event of the ledger does to the state of the floor.

Never decides and never knows the time: the same events give the same state, in whatever order late ones arrive.
"""

from collections.abc import Iterable

from floor.core.folds import jobs, prices, stations, supplies, time, walks
from floor.core.folds.kinds import FOLDS
from floor.core.folds.sorting import add_row
from floor.core.state.floor import Floor
from floor.core.state.station import LastRead
from shared.events.recorded import Recorded, hands_of, read_of

FILES = (jobs, walks, stations, time, supplies, prices)
"""Where the folds are; a test holds them against the kinds of events."""
_FOLDS = FOLDS.by_kind


def fold(floor: Floor, row: Recorded) -> Floor:
    """The floor after one more row. The floor that is handed in is used up; a row already folded changes nothing.

    Total for every event of shared.events: never raises for rows that the rules let through.
    """
    if row.seq <= floor.seq:
        return floor
    floor.seq = row.seq
    if floor.began is None:
        floor.began = row.occurred_at
    _FOLDS[type(row.event)](floor, row, row.event)
    _remember_read(floor, row)
    floor.closed_weeks.touch(row.occurred_at)
    return floor


def _remember_read(floor: Floor, row: Recorded) -> None:
    """The station remembers the last read; the hands every one, whatever became of it: they were there."""
    read = read_of(row.event)
    if read is None or row.station is None:
        return
    station = floor.station(row.station)
    station.last_read = LastRead(read, row.occurred_at, row.badge)
    add_row(floor.reads.setdefault(hands_of(row), []), row)


def fold_all(rows: Iterable[Recorded], floor: Floor | None = None) -> Floor:
    """The floor after many rows, from the start or from a floor that is handed in and used up."""
    state = Floor() if floor is None else floor
    for row in rows:
        fold(state, row)
    return state
