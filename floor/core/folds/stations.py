"""What stations remember: who signed in, whether they are down, which reason card waits, which read was refused.

Never touches the walk of a piece.
"""

from bisect import insort

from floor.core.folds.kinds import FOLDS
from floor.core.folds.sorting import add_sorted
from floor.core.state.floor import Floor
from shared.events.reads import (
    ReadRefused,
    ReasonRead,
    ReasonTakenBack,
    SignedIn,
    SignedOut,
    StationCameUp,
    StationTaken,
    StationWentDown,
)
from shared.events.recorded import Recorded


@FOLDS.of(ReadRefused)
def read_refused(floor: Floor, row: Recorded, event: ReadRefused) -> None:
    if event.piece is not None and event.read.answer.reason == "too-short":
        add_sorted(floor.pieces[event.piece].early, row.occurred_at)
    if event.at_station is None:
        return
    station = floor.station(event.at_station)
    if event.piece is not None:
        station.last_piece = (event.piece, row.occurred_at)


@FOLDS.of(StationTaken)
def station_taken(floor: Floor, _row: Recorded, event: StationTaken) -> None:
    floor.roaming[event.scanner] = event.at_station


@FOLDS.of(SignedIn)
def signed_in(floor: Floor, row: Recorded, event: SignedIn) -> None:
    insort(floor.station(event.at_station).signings, (row.occurred_at, row.seq, event.badge_name))


@FOLDS.of(SignedOut)
def signed_out(floor: Floor, row: Recorded, event: SignedOut) -> None:
    insort(floor.station(event.at_station).signings, (row.occurred_at, row.seq, None))


@FOLDS.of(StationWentDown)
def station_down(floor: Floor, row: Recorded, event: StationWentDown) -> None:
    floor.station(event.at_station).outages.say(row.occurred_at, row.seq, down=True)


@FOLDS.of(StationCameUp)
def station_up(floor: Floor, row: Recorded, event: StationCameUp) -> None:
    floor.station(event.at_station).outages.say(row.occurred_at, row.seq, down=False)


@FOLDS.of(ReasonRead)
def reason_read(floor: Floor, row: Recorded, event: ReasonRead) -> None:
    floor.station(event.at_station).reason = (event.reason, row.occurred_at)


@FOLDS.of(ReasonTakenBack)
def reason_taken_back(floor: Floor, _row: Recorded, event: ReasonTakenBack) -> None:
    floor.station(event.at_station).reason = None
