"""The band around a forecast: how far past forecasts missed what then happened, by split conformal prediction.

Never guesses: with too few past forecasts there is no band.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import islice
from math import ceil

from msgspec import Struct

from floor.core.state.floor import Floor
from floor.core.state.job import Job
from shared.hours import Hours

MISSED = 0.1
"""A band is meant to miss one time in ten."""
PAST_MAX = 100
"""So many of the newest forecasts are looked at: an older floor may have been another one."""
GRACE = timedelta(hours=1)
"""Even a forecast for the next minute misses by some of this, so a short job does not count a thousandfold."""


class Band(Struct, frozen=True):
    """Between which moments a job is expected to be finished."""

    earliest: datetime
    latest: datetime


class Foretold(Struct, frozen=True):
    """A forecast of a job, and what happened: when it was made, what it said, when the job was finished."""

    made: datetime
    expected: datetime
    finished: datetime


def rank(n: int, missed: float) -> int | None:
    """Which of n scores, from the smallest as 1, bounds the next with probability 1 - missed; None: too few scores.

    Split conformal prediction: ceil((n + 1)(1 - missed)). Vovk, Gammerman and Shafer, "Algorithmic Learning in a Random
    World"; Lei et al., "Distribution-free predictive inference for regression" (2018).
    """
    wanted = ceil(round((n + 1) * (1 - missed), 9))  # 0.9 × 10 must not become 9.000000000000002
    return wanted if wanted <= n else None


def reach(past: Sequence[Foretold], hours: Hours) -> float | None:
    """How far a forecast may be off, as a share of the working time that it looks ahead, with the grace.

    None with too few past ones. It holds as far as the jobs to come are like the past ones.
    """
    bound = rank(len(past), MISSED)
    return None if bound is None else sorted(_score(each, hours) for each in past)[bound - 1]


def _score(foretold: Foretold, hours: Hours) -> float:
    first, last = sorted([foretold.expected, foretold.finished])
    return hours.working(first, last) / _scale(foretold.made, foretold.expected, hours)


def _scale(made: datetime, expected: datetime, hours: Hours) -> timedelta:
    return hours.working(made, expected) + GRACE


def band(now: datetime, expected: datetime, reach: float, hours: Hours) -> Band:
    """The band around what is expected now."""
    ahead = hours.working(now, expected)
    off = reach * _scale(now, expected, hours)
    return Band(hours.add_working(now, max(ahead - off, timedelta(0))), hours.add_working(now, ahead + off))


def past_forecasts(floor: Floor) -> list[Foretold]:
    """The forecasts of the newest finished jobs, and when each was finished.

    A job that was held or given up did not finish when the floor could have finished it, and does not count.
    """
    return list(islice(filter(None, map(_foretold, _newest_jobs(floor))), PAST_MAX))


def _newest_jobs(floor: Floor) -> Iterator[Job]:
    """Jobs of which pieces ended, each once, the newest first; no further back than somebody asks."""
    seen: set[str] = set()
    for _, code in reversed(floor.ended):
        job = floor.pieces[code].job
        if job not in seen:
            seen.add(job)
            yield floor.jobs[job]


def _foretold(job: Job) -> Foretold | None:
    finished = [piece.finished for piece in job.pieces if piece.finished]
    if job.foretold is None or not finished or not job.finished or job.cancelled or job.was_held:
        return None
    return Foretold(*job.foretold, max(finished))


class Bands:
    """The bands of a floor at one moment, all as wide as its past forecasts were wrong."""

    def __init__(self, floor: Floor, hours: Hours, now: datetime) -> None:
        self._reach = reach(past_forecasts(floor), hours)
        self._hours = hours
        self._now = now

    def around(self, expected: datetime | None) -> Band | None:
        """The band around what is expected; None where nothing is, or too little is known."""
        if expected is None or self._reach is None:
            return None
        return band(self._now, expected, self._reach, self._hours)
