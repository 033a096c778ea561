"""A floor with more on it than a wall can show at once: 60 jobs, 40 wet pieces, a dozen alarms."""

from datetime import timedelta
from uuid import uuid4

from floor.core.plan.alarms import changes
from floor.core.state.floor import Floor
from shared.events.recorded import Fact
from shared.files.jobfile import parse_job
from shared.scan import Answer, Scan
from tests.floor.web.rig import House
from tests.making import MONDAY, job_data, shop

JOBS, WET, ALARMS = 60, 40, 12
CUSTOMERS = ("Mill Lane choir", "Old Quay bakery and coffee roasters, at the harbour", "St Brendan's school")


def crowded(house: House) -> list[str]:
    """Fill the floor of a house; the codes of its pieces."""
    pieces = [_job(house, number) for number in range(JOBS)]
    for piece in pieces[: WET + 1]:
        scan(house, piece, "printer 1", after_s=39)
    scan(house, pieces[WET], "press 1", after_s=20)
    house.clock.advance(timedelta(seconds=15))
    house.service.record(lambda floor: (_alarms(house, floor), None))
    board = house.service.board()
    assert len(board.jobs) == JOBS
    assert len(board.wet) == WET
    assert len(board.alarms) >= ALARMS
    return pieces


def _job(house: House, number: int) -> str:
    data = job_data(colour="white", due=MONDAY + timedelta(minutes=15 * (number + 1)))
    order = parse_job({**data, "customer": CUSTOMERS[number % len(CUSTOMERS)]}, shop())
    (piece,) = house.service.take(order).pieces
    return piece


def _alarms(house: House, floor: Floor) -> list[Fact]:
    return changes(floor, house.service.shop, house.clock.now())


def scan(house: House, code: str, station: str, *, after_s: float = 0, ago_s: float = 0) -> Answer:
    """A read at a station: some time after what was before, and so long before it comes to the floor."""
    now = house.clock.advance(timedelta(seconds=after_s))
    at = now - timedelta(seconds=ago_s)
    return house.service.scan(Scan(read_id=uuid4().hex, text=code, at=at, device=f"gun {station}", station=station))
