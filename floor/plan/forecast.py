"""When a job will be done, from the work that lies before it.

Never learns: standard times only.
"""

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime, timedelta

from floor.cycle import standard_s
from floor.state import Floor, Job, Piece
from shared.shop import Shop

Load = dict[tuple[str, ...], float]
"""By group of stations that do a step: seconds of work that lie before them."""


def expected_finishes(floor: Floor, shop: Shop, now: datetime) -> dict[str, datetime]:
    """When each job with open pieces can be expected to be finished, by job.

    Jobs are taken in the order of their due times. A job lasts until its busiest group of stations has worked
    through its pieces and those of the jobs before it, and at least as long as the longest walk of its pieces,
    counted in opening hours. Held jobs are not expected.
    """
    load: Load = defaultdict(float)
    expected = {}
    for job, pieces in _by_due(floor):
        own = _work_of(pieces, shop)
        for stations, seconds in own.items():
            load[stations] += seconds
        busiest = max((load[stations] / len(stations) for stations in own if stations), default=0.0)
        longest = max(sum(map(standard_s, piece.route[piece.position :])) for piece in pieces)
        expected[job.code] = shop.hours.add_working(now, timedelta(seconds=max(busiest, longest)))
    return expected


def _by_due(floor: Floor) -> Iterable[tuple[Job, list[Piece]]]:
    pieces = defaultdict(list)
    for piece in floor.open.values():
        if not floor.jobs[piece.job].held:
            pieces[piece.job].append(piece)
    order = sorted(pieces, key=lambda code: (floor.jobs[code].order.due, code))
    return [(floor.jobs[code], pieces[code]) for code in order]


def _work_of(pieces: Iterable[Piece], shop: Shop) -> Load:
    """What is left to do on some pieces, by the stations that do it."""
    work: Load = defaultdict(float)
    for piece in pieces:
        for step in piece.route[piece.position :]:
            work[shop.stations_for(step.key)] += standard_s(step)
    return work
