"""Wet times of a week, held against their limits.

Never counts a piece whose wet time nobody knows.
"""

from collections import defaultdict
from collections.abc import Iterable
from datetime import timedelta

from floor.core.figures.data import WetWeek
from floor.core.times.cycle import StepTime, figures

PARTS = 4
"""A limit in so many equal parts: a floor that mostly lives in the last of them is close to it."""


def wet_weeks(worked: Iterable[StepTime]) -> list[WetWeek]:
    """For each limit before a press, how near to it the pieces came; elapsed, for ink dries after hours too."""
    waits: dict[float, list[timedelta]] = defaultdict(list)
    for time in worked:
        if time.step.is_press and time.step.wait_limit_s and time.queuing is not None:
            waits[time.step.wait_limit_s].append(time.queuing)
    return [_wet_week(limit_s, its) for limit_s, its in sorted(waits.items())]


def _wet_week(limit_s: float, waits: list[timedelta]) -> WetWeek:
    parts = [0] * (PARTS + 1)
    for wait in waits:
        share = wait.total_seconds() / limit_s
        parts[PARTS if share > 1 else min(int(share * PARTS), PARTS - 1)] += 1
    return WetWeek(limit_s=limit_s, wet_s=figures(waits), within=parts[:-1], over=parts[-1])
