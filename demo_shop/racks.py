"""Where pieces lie between two stations: a queue for each kind of station, the most urgent piece first.

Never looks at a clock but that of the day's own simulation.
"""

from dataclasses import dataclass
from datetime import datetime
from itertools import count
from math import inf

import simpy

from shared.files.shop import Shop
from shared.route import Route, Step


@dataclass(eq=False, slots=True)
class Carried:
    """A piece on the floor, with its ticket: the code that was read from it, and the route that stands on it."""

    code: str
    job: str
    route: Route
    due: datetime
    at: int = 0
    """Index of the step that it waits for."""
    ready_s: float = 0
    """Since when."""

    @property
    def step(self) -> Step:
        """The step that it waits for."""
        return self.route[self.at]


class Racks:
    """All pieces that wait, and whether any is left."""

    def __init__(self, env: simpy.Environment, shop: Shop) -> None:
        self.all_done = env.event()
        """Comes when every piece that was expected has gone out of the door."""
        self._env = env
        self._shop = shop
        self._queues = {self._alike(step): simpy.PriorityStore(env) for step in shop.file.steps}
        self._serial = count()
        self._aside: dict[str, Carried] = {}
        self._unfinished = 0

    def _alike(self, step: str) -> tuple[str, ...]:
        return tuple(self._shop.stations_for(step))

    def expect(self, pieces: int) -> None:
        """So many more pieces must go out of the door before the day is done."""
        self._unfinished += pieces

    def queue_at(self, station: str) -> simpy.PriorityStore:
        """What waits for a station, and for its like."""
        return next(queue for stations, queue in self._queues.items() if station in stations)

    def last_waiting(self, station: str) -> Carried | None:
        """The piece at the very end of a station's queue."""
        items = sorted(self.queue_at(station).items)
        return items[-1].item if items else None

    def lay_out(self, piece: Carried) -> None:
        """A piece is ready for its first step."""
        piece.ready_s = self._env.now
        self._put(piece)

    def go_on(self, piece: Carried) -> None:
        """A step is done: to the next, or out of the door."""
        piece.at += 1
        if piece.at < len(piece.route):
            self.lay_out(piece)
            return
        self._unfinished -= 1
        if not self._unfinished:
            self.all_done.succeed()

    def lay_aside(self, piece: Carried) -> None:
        """A step is done, there is another, and the piece is forgotten until somebody remembers it."""
        piece.at += 1
        piece.ready_s = self._env.now
        self._aside[piece.code] = piece

    def remember(self, code: str) -> None:
        """If the piece was forgotten, it takes its place in the queue, which is an early one by now."""
        if piece := self._aside.pop(code, None):
            self._put(piece)

    def _put(self, piece: Carried) -> None:
        """At the press the wet limit comes first; then whoever is nearest to the end of its route, then due time."""
        limit_s = inf if piece.step.wait_limit_s is None else piece.ready_s + piece.step.wait_limit_s
        urgency = (limit_s, len(piece.route) - piece.at, piece.due, next(self._serial))
        self._queues[self._alike(piece.step.key)].put(simpy.PriorityItem(urgency, piece))
