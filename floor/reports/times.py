"""The times of a week: cycle times of what was finished, queuing and processing of each step, yield, throughput.

Never counts money: floor.reports.week does.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from floor.cycle import Figures, StepTime, cycle_time, figures, step_times
from floor.reports.data import StepWeek
from floor.state import Floor, Piece
from shared.shop import Shop

INSPECTED = "inspected"


def worked_between(floor: Floor, start: datetime, end: datetime) -> list[StepTime]:
    """Every step that was done, or taken as done, from one moment on and before another."""
    touched = (piece for piece in floor.pieces.values() if piece.facts and piece.latest >= start)
    times = (time for piece in touched for time in step_times(floor, piece))
    return [time for time in times if time.over is not None and start <= time.over < end]


def step_weeks(shop: Shop, worked: Iterable[StepTime]) -> dict[str, StepWeek]:
    """Queuing and processing times of each step, in the order of the shop file; assumed times are left out."""
    by_step: dict[str, list[StepTime]] = {key: [] for key in shop.file.steps}
    for time in worked:
        by_step.setdefault(time.step.key, []).append(time)
    return {key: _step_week(times) for key, times in by_step.items() if times}


def _step_week(times: Sequence[StepTime]) -> StepWeek:
    seen = [time for time in times if time.done is not None]
    derived, assumed = sum(time.derived for time in seen), len(times) - len(seen)
    queuing = [time.queuing for time in seen if time.queuing is not None]
    processing = [time.processing for time in seen if time.processing is not None]
    return StepWeek(
        queuing_s=figures(queuing, derived, assumed),
        processing_s=figures(processing, derived, assumed),
    )


def cycles(floor: Floor, shop: Shop, finished: Iterable[Piece], *, working: bool) -> Figures:
    """Cycle times of finished pieces, elapsed or working seconds.

    `derived` counts those whose start was not seen; `assumed` those whose first step was assumed, which are left out.
    """
    durations, derived, assumed = [], 0, 0
    for piece in finished:
        times = step_times(floor, piece)
        cycle = cycle_time(times, shop.hours)
        if cycle is None or times[0].assumed:
            assumed += 1
            continue
        derived += times[0].derived
        durations.append(cycle.working if working else cycle.elapsed)
    return figures(durations, derived, assumed)


def first_pass_yield(floor: Floor, shop: Shop, start: datetime, end: datetime) -> float | None:
    """Parts good at their first inspection ÷ parts inspected (ISO 22400-2); None where nothing was inspected.

    A part fails its inspection when it is spoiled while it waits for it, or at the station that inspected it.
    """
    results = [
        result for piece in floor.pieces.values() if (result := _first_inspection(piece, shop, start, end)) is not None
    ]
    return sum(results) / len(results) if results else None


def _first_inspection(piece: Piece, shop: Shop, start: datetime, end: datetime) -> bool | None:
    index = next((n for n, step in enumerate(piece.route) if step.event == INSPECTED), None)
    if index is None:
        return None
    done, spoiled = piece.walk[index].done, piece.spoiled
    if done is not None and start <= done < end:
        return not (spoiled and shop.does(spoiled.station or "", piece.route[index].key))
    failed = done is None and spoiled is not None and piece.position == index and start <= spoiled.at < end
    return False if failed else None


def per_hour(count: int, working: timedelta) -> float | None:
    """A rate in an hour of working time (throughput rate of ISO 22400-2, PQ by time); None where there was none."""
    return count / (working / timedelta(hours=1)) if working > timedelta(0) else None
