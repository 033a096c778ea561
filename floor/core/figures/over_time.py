"""Pieces that stayed in a press beyond their time in a week: what the press did to them, eyes must tell.

Never counts a stay that nobody saw both ends of.
"""

from collections.abc import Iterator
from datetime import datetime

from floor.core.figures.data import OverTime
from floor.core.times.cycle import Walks


def over_times(walks: Walks, start: datetime, end: datetime) -> list[OverTime]:
    """Those that came out from one moment on and before another, the longest over its time first."""
    return sorted(_over_times(walks, start, end), key=lambda stay: (stay.least_s - stay.held_s, stay.piece))


def _over_times(walks: Walks, start: datetime, end: datetime) -> Iterator[OverTime]:
    for piece in walks.since(start):
        for time in walks.of(piece):
            if time.done is None or time.processing is None or not start <= time.done < end:
                continue
            held_s = time.processing.total_seconds()
            if time.step.over_time_s(held_s) is not None:
                yield OverTime(
                    piece=piece.code,
                    job=piece.job,
                    step=time.step.label,
                    press=time.station,
                    opened=time.done,
                    held_s=held_s,
                    least_s=time.step.min_s,
                )
