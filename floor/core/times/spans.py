"""Spans of time: what several of them cover together, and how long that is.

Never counts a moment twice: of two spans that overlap the common part counts once.
"""

from collections.abc import Callable, Iterable
from datetime import datetime, timedelta

Span = tuple[datetime, datetime]
"""Two moments, UTC: the first belongs to the span, the second no longer does."""
Measure = Callable[[datetime, datetime], timedelta]
"""How long a span is: elapsed, or the working time in it (`Hours.working`)."""


def elapsed(start: datetime, end: datetime) -> timedelta:
    """All the time between two moments; nothing where the second comes first."""
    return max(end - start, timedelta(0))


def union(spans: Iterable[Span]) -> list[Span]:
    """What spans cover, as spans apart from each other, in order; those that last no time are left out."""
    apart: list[Span] = []
    for start, end in sorted(span for span in spans if span[0] < span[1]):
        if apart and start <= apart[-1][1]:
            apart[-1] = (apart[-1][0], max(apart[-1][1], end))
        else:
            apart.append((start, end))
    return apart


def within(spans: Iterable[Span], start: datetime, end: datetime) -> list[Span]:
    """The parts of spans from one moment to another."""
    cut = ((max(opens, start), min(closes, end)) for opens, closes in spans)
    return [span for span in cut if span[0] < span[1]]


def covered(spans: Iterable[Span], measure: Measure = elapsed) -> timedelta:
    """For how long there is at least one of the spans."""
    return sum((measure(start, end) for start, end in union(spans)), timedelta(0))
