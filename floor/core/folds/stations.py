"""What stations remember: who signed in, whether they are down, which reason card waits, which read was refused.

Never touches the walk of a piece.
"""

from bisect import insort

from floor.core.folds.kinds import Folds
from floor.core.folds.order import add_in_order
from floor.core.state.floor import Floor
from shared.events import (
    ReadRefused,
    ReasonRead,
    ReasonTakenBack,
    Recorded,
    SignedIn,
    SignedOut,
    StationCameUp,
    StationTaken,
    StationWentDown,
)


def read_refused(floor: Floor, row: Recorded, event: ReadRefused) -> None:
    if event.piece is not None and event.read.answer.reason == "too-short":
        add_in_order(floor.pieces[event.piece].early, row.occurred_at)
    if event.at_station is None:
        return
    station = floor.station(event.at_station)
    if event.piece is not None:
        station.last_piece = (event.piece, row.occurred_at)


def station_taken(floor: Floor, _row: Recorded, event: StationTaken) -> None:
    floor.roaming[event.scanner] = event.at_station


def signed_in(floor: Floor, row: Recorded, event: SignedIn) -> None:
    insort(floor.station(event.at_station).signings, (row.occurred_at, row.seq, event.badge_name))


def signed_out(floor: Floor, row: Recorded, event: SignedOut) -> None:
    insort(floor.station(event.at_station).signings, (row.occurred_at, row.seq, None))


def station_down(floor: Floor, row: Recorded, event: StationWentDown) -> None:
    floor.station(event.at_station).outages.say(row.occurred_at, row.seq, down=True)


def station_up(floor: Floor, row: Recorded, event: StationCameUp) -> None:
    floor.station(event.at_station).outages.say(row.occurred_at, row.seq, down=False)


def reason_read(floor: Floor, row: Recorded, event: ReasonRead) -> None:
    floor.station(event.at_station).reason = (event.reason, row.occurred_at)


def reason_taken_back(floor: Floor, _row: Recorded, event: ReasonTakenBack) -> None:
    floor.station(event.at_station).reason = None


FOLDS: Folds = {
    ReadRefused: read_refused,
    StationTaken: station_taken,
    SignedIn: signed_in,
    SignedOut: signed_out,
    StationWentDown: station_down,
    StationCameUp: station_up,
    ReasonRead: reason_read,
    ReasonTakenBack: reason_taken_back,
}
