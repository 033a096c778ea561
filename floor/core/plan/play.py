"""The play: work carried forward piece by piece, in seconds of working time from now, until all of it is done.

Never knows a calendar, a ledger or a shop: it moves numbers. floor.core.plan.outlook makes them from a floor.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from heapq import heapify, heappop, heappush
from itertools import accumulate
from math import inf

from msgspec import Struct


class Visit(Struct, frozen=True, kw_only=True, gc=False):
    """One step that lies before a piece: it takes one of its stations, by their numbers, for `takes_s`.

    Where it has none, nobody queues for it. A pair of hands is needed for the first `touch_s` of it. A press (`dwell`)
    is booked as soon as the step before begins, and that does not begin before a press can be had within `limit_s`
    of its end.
    """

    stations: tuple[int, ...]
    takes_s: float
    touch_s: float = 0
    dwell: bool = False
    limit_s: float = inf


class Walker(Struct, frozen=True, kw_only=True, gc=False):
    """A piece: the steps before it, and where it is in the first of them already, when that will be done."""

    visits: tuple[Visit, ...]
    inside_until_s: float | None = None


class Stay(Struct, frozen=True, gc=False):
    """When a step of a piece begins and ends, and the station; None where it needs none, or its piece is inside."""

    starts_s: float
    ends_s: float
    station: int | None


class Closing(Struct, frozen=True):
    """A time for which the shop is closed, by the working time that has passed when it comes."""

    at_s: float
    lasts_s: float


Stays = list[list[Stay]]
"""For each piece its stays, step by step; where all stations of a step are down, from there on they are missing."""

DONE, HANDS, LOOK = range(3)
"""What happens at a moment: a step is done, hands are taken or free, a station looks again at what waits for it."""


def play(
    walkers: Sequence[Walker],
    free_s: Sequence[float],
    *,
    at_press: Iterable[int] = (),
    hands: int | None = None,
    breaks: Sequence[Closing] = (),
) -> Stays:
    """The stays of every piece; of two that wait for one station, the earlier in `walkers` goes first.

    `free_s`: when each station is free, infinity for one that is down. `at_press`: the pieces that wait for a press
    already, in the order in which the presses take them. `hands`: pairs of hands, None for as many as are needed.
    What is begun when the shop closes goes on when it opens again. A press always finds a pair of hands: wet ink does
    not wait for them.
    """
    return _Play(walkers, free_s, hands, breaks).run(at_press)


class _Play:
    def __init__(
        self, walkers: Sequence[Walker], free_s: Sequence[float], hands: int | None, breaks: Sequence[Closing]
    ) -> None:
        self.now = 0.0
        self.walkers = walkers
        self.stays: Stays = [[] for _ in walkers]
        self.at = [0] * len(walkers)
        """Which of its visits a piece waits for, or is in."""
        self.free_s = list(free_s)
        self.looks_s = [inf] * len(free_s)
        """When a station will look again, for a press cannot be had yet for what waits."""
        self.queues: dict[tuple[tuple[int, ...], bool], list[int]] = {}
        """Heaps of pieces by the stations that they wait for, and by whether a press comes next."""
        self.serves: list[list[tuple[list[int], bool]]] = [[] for _ in free_s]
        """The queues of each station."""
        self.hands = hands
        self.short_of_hands: set[int] = set()
        self.breaks_s = [each.at_s for each in breaks]
        self.closed_s = [0.0, *accumulate(each.lasts_s for each in breaks)]
        self.events = [(free, LOOK, station) for station, free in enumerate(free_s) if 0 < free < inf]
        """Heap of what will happen: when, what, and which piece or station, or how many pairs of hands."""
        heapify(self.events)

    def run(self, at_press: Iterable[int]) -> Stays:
        self._start(list(at_press))
        while self.events:
            self.now = self.events[0][0]
            awake: set[int] = set()
            while self.events and self.events[0][0] == self.now:
                self._happen(*heappop(self.events), awake)
            self._look(awake)
        return self.stays

    def _start(self, at_press: list[int]) -> None:
        """What is in work goes on, the presses take what waits for them, all else queues."""
        awake: set[int] = set()
        for n in at_press:
            self._book(n, 0, 0.0)
        for n, walker in enumerate(self.walkers):
            if walker.inside_until_s is not None:
                self.stays[n].append(Stay(0.0, walker.inside_until_s, None))
                heappush(self.events, (walker.inside_until_s, DONE, n))
                self._book(n, 1, walker.inside_until_s)
            else:
                self._arrive(n, awake)
        self._look(awake)

    def _happen(self, _at: float, what: int, which: int, awake: set[int]) -> None:
        if what == DONE:
            station = self.stays[which][self.at[which]].station
            if station is not None:
                awake.add(station)
            self.at[which] += 1
            self._arrive(which, awake)
        elif what == LOOK:
            self.looks_s[which] = inf
            awake.add(which)
        elif self.hands is not None:
            self.hands += which
            awake |= self.short_of_hands
            self.short_of_hands.clear()

    def _arrive(self, n: int, awake: set[int]) -> None:
        """A piece has come to its next step: it queues for a station, if it needs one and no press is booked."""
        at, visits = self.at[n], self.walkers[n].visits
        if at == len(visits):
            return
        visit = visits[at]
        if visit.dwell:
            if at == len(self.stays[n]):
                self._book(n, at, self.now)
        elif not visit.stations:
            self._begin(n, visit, None)
        else:
            heappush(self._queue(visit.stations, at + 1 < len(visits) and visits[at + 1].dwell), n)
            awake.update(visit.stations)

    def _queue(self, stations: tuple[int, ...], press_next: bool) -> list[int]:
        queue = self.queues.get((stations, press_next))
        if queue is None:
            queue = self.queues[stations, press_next] = []
            for station in stations:
                self.serves[station].append((queue, press_next))
        return queue

    def _begin(self, n: int, visit: Visit, station: int | None) -> None:
        end = self.now + visit.takes_s
        self.stays[n].append(Stay(self.now, end, station))
        heappush(self.events, (end, DONE, n))
        if station is not None:
            self.free_s[station] = end
        self._take_hands(self.now, visit.touch_s)
        self._book(n, self.at[n] + 1, end)

    def _book(self, n: int, at: int, ready: float) -> None:
        """If the step is one in a press: the press that is free first takes the piece, once it is ready."""
        visits = self.walkers[n].visits
        if at == len(visits) or not visits[at].dwell or ready == inf:
            return
        visit = visits[at]
        press = min(visit.stations, key=self.free_s.__getitem__, default=None)
        start = ready if press is None else max(ready, self.free_s[press])
        end = start + visit.takes_s
        if end == inf:
            return
        if press is not None:
            self.free_s[press] = end
        self.stays[n].append(Stay(start, end, press))
        heappush(self.events, (end, DONE, n))
        self._take_hands(start, visit.touch_s)

    def _take_hands(self, at: float, touch_s: float) -> None:
        if self.hands is None or not touch_s:
            return
        if at == self.now:
            self.hands -= 1
        else:
            heappush(self.events, (at, HANDS, -1))
        heappush(self.events, (at + touch_s, HANDS, 1))

    def _look(self, awake: set[int]) -> None:
        """Stations that may have something to begin begin it; where hands are short, the best piece gets them."""
        by_best = awake if len(awake) < 2 else sorted(awake, key=self._best if self.hands is not None else None)
        for station in by_best:
            queue = self._pick(station)
            if queue is None:
                continue
            visit = self.walkers[queue[0]].visits[self.at[queue[0]]]
            if self.hands is not None and self.hands < 1 and visit.touch_s:
                self.short_of_hands.add(station)
            else:
                self._begin(heappop(queue), visit, station)

    def _best(self, station: int) -> tuple[float, int]:
        queue = self._pick(station)
        return (queue[0] if queue else inf, station)

    def _pick(self, station: int) -> list[int] | None:
        """The queue whose first piece a station takes now; None where it is busy, or nothing may begin."""
        best: list[int] | None = None
        if self.free_s[station] > self.now:
            return best
        for queue, press_next in self.serves[station]:
            if not queue or (best and best[0] < queue[0]):
                continue
            if press_next and (may_begin := self._may_begin(queue[0])) > self.now:
                self._look_again(station, may_begin)
            else:
                best = queue
        return best

    def _look_again(self, station: int, at: float) -> None:
        if at < self.looks_s[station]:
            self.looks_s[station] = at
            heappush(self.events, (at, LOOK, station))

    def _may_begin(self, n: int) -> float:
        """The earliest moment from now on at which the step before a press may begin: it can be had in time."""
        visit, press = self.walkers[n].visits[self.at[n] : self.at[n] + 2]
        if press.limit_s == inf or not press.stations:
            return self.now
        ready = self.now + visit.takes_s
        start = max(ready, min([self.free_s[station] for station in press.stations]))
        if start - ready > press.limit_s:
            return start - press.limit_s - visit.takes_s
        before, by_then = bisect_left(self.breaks_s, ready), bisect_right(self.breaks_s, start)
        closed_s = self.closed_s[by_then] - self.closed_s[before]
        return self.breaks_s[by_then - 1] if start - ready + closed_s > press.limit_s else self.now
