"""The times of a week: cycle times of what was finished, queuing and processing of each step, yield, throughput.

Never counts money: floor.core.figures.week does.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from floor.core.figures.data import MachineWeek, StepWeek
from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from floor.core.times.cycle import Figures, StepTime, Walks, cycle_time, figures
from floor.core.times.elements import Quantities
from floor.core.times.spans import Measure, elapsed
from floor.core.times.use import StationUse, station_uses
from shared.files.shop import Shop

INSPECTED = "inspected"


def step_weeks(shop: Shop, worked: Iterable[StepTime], measure: Measure = elapsed) -> dict[str, StepWeek]:
    """Queuing and processing times of each step, in the order of the shop file; assumed times are left out."""
    return _weeks(shop.file.steps, ((time.step.key, time) for time in worked), measure)


def station_weeks(shop: Shop, worked: Iterable[StepTime], measure: Measure = elapsed) -> dict[str, StepWeek]:
    """The same of each station; of an assumed step nobody knows where it was done."""
    return _weeks(shop.stations, ((time.station, time) for time in worked if time.station), measure)


def _weeks(in_order: Iterable[str], worked: Iterable[tuple[str, StepTime]], measure: Measure) -> dict[str, StepWeek]:
    groups: dict[str, list[StepTime]] = {key: [] for key in in_order}
    for key, time in worked:
        groups.setdefault(key, []).append(time)
    return {key: _week(times, measure) for key, times in groups.items() if times}


def _week(times: Sequence[StepTime], measure: Measure) -> StepWeek:
    seen = [time for time in times if time.done is not None]
    derived, assumed = sum(time.derived for time in seen), len(times) - len(seen)
    queuing = [spent for time in seen if (spent := time.queued(measure)) is not None]
    processing = [spent for time in seen if (spent := time.processed(measure)) is not None]
    return StepWeek(
        queuing_s=figures(queuing, derived, assumed),
        processing_s=figures(processing, derived, assumed),
    )


def cycles(walks: Walks, shop: Shop, finished: Iterable[Piece], *, working: bool) -> Figures:
    """Cycle times of finished pieces, elapsed or working seconds.

    `derived` counts those whose start was not seen; `assumed` those whose first step was assumed, which are left out.
    """
    durations, derived, assumed = [], 0, 0
    for piece in finished:
        times = walks.of(piece)
        cycle = cycle_time(times, shop.hours)
        if cycle is None or times[0].assumed:
            assumed += 1
            continue
        derived += times[0].derived
        durations.append(cycle.working if working else cycle.elapsed)
    return figures(durations, derived, assumed)


def quantities(floor: Floor, shop: Shop, start: datetime, end: datetime) -> Quantities:
    """The pieces that left the floor, or were inspected for the first time, from one moment on and before another.

    A part fails its inspection when it is spoiled while it waits for it, or at the station that inspected it.
    """
    states = [piece.state for piece in floor.ended_between(start, end)]
    inspections = [_first_inspection(piece, shop, start, end) for piece in floor.pieces.values()]
    passed, failed = inspections.count(True), inspections.count(False)
    return Quantities(
        good=states.count("finished"), scrapped=states.count("spoiled"), inspected=passed + failed, passed=passed
    )


def _first_inspection(piece: Piece, shop: Shop, start: datetime, end: datetime) -> bool | None:
    index = next((n for n, step in enumerate(piece.route) if step.event == INSPECTED), None)
    if index is None:
        return None
    done, spoiled = piece.walk[index].done, piece.spoiled
    if done is not None and start <= done < end:
        return not (spoiled and shop.does(spoiled.station or "", piece.route[index].key))
    failed = done is None and spoiled is not None and piece.position == index and start <= spoiled.at < end
    return False if failed else None


def machine_weeks(walks: Walks, shop: Shop, start: datetime, until: datetime) -> list[MachineWeek]:
    """The use of every printer and press, from one moment to another."""
    return [_machine_week(use) for use in station_uses(walks, shop, start, until)] if start < until else []


def _machine_week(use: StationUse) -> MachineWeek:
    return MachineWeek(
        station=use.station,
        busy_s=use.elapsed.busy.total_seconds(),
        producing_s=use.elapsed.production.total_seconds(),
        delayed_s=use.elapsed.delay.total_seconds(),
        busy_open_s=use.working.busy.total_seconds(),
        planned_open_s=use.planned_busy.total_seconds(),
        down_open_s=use.down.total_seconds(),
        allocation_efficiency=use.allocation_efficiency,
        utilization_efficiency=use.utilization_efficiency,
        steps=use.steps,
        derived=use.derived,
        assumed=use.assumed,
        hours=use.hours,
    )


def per_hour(count: int, working: timedelta) -> float | None:
    """A rate in an hour of working time (throughput rate of ISO 22400-2, PQ by time); None where there was none."""
    return count / (working / timedelta(hours=1)) if working > timedelta(0) else None
