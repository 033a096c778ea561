"""The outlook: a floor as it is, played forward until all of it is done.

Never promises: it holds if nothing is spoiled, nobody is ill, and every step takes as long as it took so far.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from itertools import chain
from math import inf
from typing import NamedTuple

from floor.core.plan.ahead import Ahead, Walking
from floor.core.plan.calendar import Calendar
from floor.core.plan.pace import LearnedTimes, learned
from floor.core.plan.play import Stay, Visit, play
from floor.core.plan.sequencing import (
    Batch,
    JobSequence,
    Played,
    best_played,
    bottleneck,
    finished_s,
    in_sequence,
    turn,
)
from floor.core.state.floor import Floor
from floor.core.state.job import Job
from floor.core.state.piece import Piece
from shared.files.shop import Shop


class Pressing(NamedTuple):
    """The press that takes a piece, when it is closed on it, and when it comes out."""

    press: str
    closes: datetime
    opens: datetime


class Outlook:
    """When every open piece will be at every step that lies before it; of a held job only wet ink takes part.

    As many pairs of hands are there as the shop has badges; a shop without badges has as many as it needs.
    """

    def __init__(self, floor: Floor, shop: Shop, now: datetime, times: LearnedTimes) -> None:
        self.calendar = Calendar(shop.hours, now)
        """Turns the seconds of stays into moments."""
        self.stations = tuple(shop.stations)
        """What the numbers of stations in stays stand for."""
        self._hands = len(shop.badges) or None
        ahead = Ahead(floor, shop, self.calendar, times)
        walking = ahead.walking()
        self._jobs = [floor.jobs[code] for code in walking]
        busiest = bottleneck(walker for pairs in walking.values() for _, walker in pairs)
        by_turn = [sorted(pairs, key=lambda pair: (turn(pair[1], busiest), pair[0].code)) for pairs in walking.values()]
        self._pieces = [[piece for piece, _ in pairs] for pairs in by_turn]
        self._batches = [self._batch(job, pairs) for job, pairs in zip(self._jobs, by_turn, strict=True)]
        self._wet = ahead.wet()
        self._free_s = ahead.free_s()
        self._breaks = self.calendar.breaks(sum(batch.work_s for batch in self._batches))
        self._played = best_played(self._batches, self._play)

    def stays(self) -> Iterator[tuple[Piece, Sequence[Stay]]]:
        """Every piece with its stays, from the step that it is in or waits for; the pieces by their turns.

        Of one that cannot get on, for all the stations of a step are down, some stays are missing.
        """
        return zip(self._in(self._played.sequence), self._played.stays, strict=True)

    def pressing(self) -> Iterator[tuple[Piece, Pressing | None]]:
        """What lies wet, in the order in which the presses take it; None where no press does.

        By the clock, and not by opening hours: wet ink is pressed though the shop has closed meanwhile.
        """
        sequence = self._played.sequence
        walking = zip(self._in(sequence), in_sequence(self._batches, sequence), self._played.stays, strict=True)
        ahead = {piece.code: self._pressing(walker.visits[0], stays) for piece, walker, stays in walking if piece.wet}
        return ((piece, ahead[piece.code]) for piece in self._wet)

    def _pressing(self, visit: Visit, stays: Sequence[Stay]) -> Pressing | None:
        if not stays or stays[0].station is None:
            return None
        closes, opens = (
            self.calendar.now + timedelta(seconds=seconds)
            for seconds in (stays[0].starts_s + visit.touch_s, stays[0].ends_s)
        )
        return Pressing(self.stations[stays[0].station], closes, opens)

    def finishes(self) -> dict[str, datetime | None]:
        """When each job that is not held will be finished; None where stations that are down keep it from it."""
        finished = zip(self._jobs, self._played.finished_s, strict=True)
        return {job.code: self.calendar.moment(seconds) for job, seconds in finished if not job.held}

    def _batch(self, job: Job, pairs: Iterable[Walking]) -> Batch:
        due_s = inf if job.held else self.calendar.seconds(job.due)
        return Batch(due_s=due_s, weight=job.wanted, walkers=tuple(walker for _, walker in pairs))

    def _in(self, sequence: JobSequence) -> list[Piece]:
        return list(chain.from_iterable(self._pieces[n] for n in sequence))

    def _play(self, sequence: JobSequence) -> Played:
        turns = {piece.code: n for n, piece in enumerate(self._in(sequence))}
        at_press = [turns[piece.code] for piece in self._wet]
        walkers = in_sequence(self._batches, sequence)
        stays = play(walkers, self._free_s, at_press=at_press, hands=self._hands, breaks=self._breaks)
        return Played(sequence=sequence, stays=stays, finished_s=finished_s(self._batches, sequence, stays))


def outlook(floor: Floor, shop: Shop, now: datetime) -> Outlook:
    """The floor played forward from a moment, with the times that it shows itself."""
    return Outlook(floor, shop, now, learned(floor, shop))
