"""The sequence of the jobs: whose turn it is, of all the pieces that wait anywhere.

Never looks at one station alone: one sequence holds for the whole floor, so that no station works against another.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from heapq import heappop, heappush
from itertools import chain
from math import inf

from msgspec import Struct

from floor.core.plan.play import Stays, Visit, Walker

VISITS_MAX = 6_000
"""So many steps of pieces are played to find a better order, about 20 ms: a wall is drawn several times a second."""
WORTH = 0.01
"""The share of the lateness that a change must take away, so that the order does not change at every look."""
REACH = 2
"""A late job is tried so many places earlier, and later."""

Stations = tuple[int, ...]
JobSequence = tuple[int, ...]
"""Batches by their numbers, the first to be worked on first."""


class Batch(Struct, frozen=True, kw_only=True):
    """The pieces of a job, by what lies before them; when it is due, in seconds of working time from now."""

    due_s: float
    weight: float
    """What a second of lateness counts."""
    walkers: tuple[Walker, ...]

    @property
    def work_s(self) -> float:
        """All the time that its pieces take at stations."""
        return sum(_total_s(walker.visits) for walker in self.walkers)


class Played(Struct, frozen=True, kw_only=True):
    """What came of an order: the stays of the pieces, and when each batch was finished, by its number."""

    sequence: JobSequence
    stays: Stays
    finished_s: Sequence[float]


def in_sequence(batches: Sequence[Batch], sequence: JobSequence) -> list[Walker]:
    """The pieces of all batches by their turns."""
    return list(chain.from_iterable(batches[n].walkers for n in sequence))


def finished_s(batches: Sequence[Batch], sequence: JobSequence, stays: Stays) -> list[float]:
    """When each batch is finished, by its number, if its pieces were played in that order."""
    finished = [0.0] * len(batches)
    left = iter(stays)
    for n in sequence:
        for walker, its in zip(batches[n].walkers, left, strict=False):  # what is left is the next batch's
            finished[n] = max(finished[n], its[-1].ends_s if len(its) == len(walker.visits) else inf)
    return finished


def best_played(batches: Sequence[Batch], played: Callable[[JobSequence], Played]) -> Played:
    """The first order, or one near to it that makes jobs less late; as many are tried as VISITS_MAX allows."""
    best = played(first_sequence(batches))
    late = _lateness(batches, best)
    changes = _changes(best.sequence, late)
    tries = VISITS_MAX // max(sum(len(walker.visits) for batch in batches for walker in batch.walkers), 1) - 1
    while tries > 0 and (sequence := next(changes, None)):
        tries -= 1
        other = played(sequence)
        its = _lateness(batches, other)
        if sum(its) < (1 - WORTH) * sum(late):
            best, late = other, its
            changes = _changes(sequence, late)
    return best


def _lateness(batches: Sequence[Batch], played: Played) -> list[float]:
    """By batch, weighed. Of one that is finished at no time no order makes more, or less."""
    return [
        0.0 if finished == inf else batch.weight * max(finished - batch.due_s, 0.0)
        for batch, finished in zip(batches, played.finished_s, strict=True)
    ]


def _changes(sequence: JobSequence, late: Sequence[float]) -> Iterator[JobSequence]:
    """The latest job some places earlier or later, then the next; the nearest places first."""
    for n in sorted(sequence, key=late.__getitem__, reverse=True):
        if not late[n]:
            return
        place = sequence.index(n)
        others = sequence[:place] + sequence[place + 1 :]
        for reach in range(1, REACH + 1):
            for to in (place - reach, place + reach):
                if 0 <= to < len(sequence):
                    yield (*others[:to], n, *others[to:])


def first_sequence(batches: Sequence[Batch]) -> JobSequence:
    """Batches by their modified due dates (Baker and Bertrand, 1982), as if the bottleneck were one machine.

    The one that must be done first goes first: at its due time, or when it could be done if it went next, whichever is
    later. While all can be in time that is the order of their due times; what will be late anyway holds up no more
    than it must.
    """
    work_s = _work_at(bottleneck(walker for batch in batches for walker in batch.walkers), batches)
    numbers = range(len(batches))
    by_due = sorted(numbers, key=lambda n: (batches[n].due_s, n), reverse=True)
    by_start = sorted(numbers, key=lambda n: (batches[n].due_s - work_s[n], n), reverse=True)
    late: list[tuple[float, int]] = []
    settled: set[int] = set()
    """Those that are late, or in the order already."""
    sequence: list[int] = []
    now = 0.0
    while len(sequence) < len(batches):
        while by_start and batches[by_start[-1]].due_s - work_s[by_start[-1]] < now:
            n = by_start.pop()
            if n not in settled:
                settled.add(n)
                heappush(late, (work_s[n], n))
        while by_due and by_due[-1] in settled:
            by_due.pop()
        first_is_late = late and (not by_due or now + late[0][0] < batches[by_due[-1]].due_s)
        n = heappop(late)[1] if first_is_late else by_due.pop()
        settled.add(n)
        sequence.append(n)
        now += work_s[n]
    return tuple(sequence)


def bottleneck(walkers: Iterable[Walker]) -> Stations:
    """The stations that have the most to do, each of them, of all that do the same steps; none where nobody queues."""
    load_s: dict[Stations, float] = {}
    for visits, count in _alike(walkers):
        for visit in visits:
            if visit.stations:
                taken_s = count * visit.takes_s / len(visit.stations)
                load_s[visit.stations] = load_s.get(visit.stations, 0.0) + taken_s
    return max(load_s, key=load_s.__getitem__, default=())


def _alike(walkers: Iterable[Walker]) -> Iterator[tuple[tuple[Visit, ...], int]]:
    """What lies before walkers, and before how many of them; they share it where they are of one line."""
    shared = [walker.visits for walker in walkers]
    count = Counter(map(id, shared))
    return ((visits, count[key]) for key, visits in {id(visits): visits for visits in shared}.items())


def _work_at(stations: Stations, batches: Sequence[Batch]) -> list[float]:
    """For how long each batch keeps those stations busy, if they share it."""
    return [sum(count * _taken_s(stations, visits) for visits, count in _alike(batch.walkers)) for batch in batches]


def _taken_s(stations: Stations, visits: Sequence[Visit]) -> float:
    return sum(visit.takes_s / len(stations) for visit in visits if stations and visit.stations == stations)


def turn(walker: Walker, stations: Stations) -> tuple[float, ...]:
    """Where a piece goes among those of its job: by Johnson's rule (1954) twice, around the bottleneck.

    First so that the bottleneck is soon fed and stays so; of pieces that are there equally soon, so that what comes
    after it is soon fed. Of equals the one that takes the longest goes first.
    """
    visits = walker.visits
    first = next((n for n, visit in enumerate(visits) if visit.stations == stations), 0)
    before_s, there_s, after_s = (
        _total_s(part) for part in (visits[:first], visits[first : first + 1], visits[first + 1 :])
    )
    return (*_johnson(before_s, there_s + after_s), *_johnson(there_s, after_s), -before_s - there_s - after_s)


def _johnson(first_s: float, second_s: float) -> tuple[float, float]:
    """Of two machines: what the second can begin soon goes first, what it is soon done with goes last."""
    return (0, first_s) if first_s < second_s else (1, -second_s)


def _total_s(visits: Sequence[Visit]) -> float:
    return sum(visit.takes_s for visit in visits)
