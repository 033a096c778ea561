"""The week's report: what was made, what it was quoted at, what it cost, and why.

Never draws, and never reads a clock: the state, the shop and the moment come in, the report goes out.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal

from floor.core.cost.account import Lost, account
from floor.core.cost.actual import Costs
from floor.core.cost.paid import paid_hours
from floor.core.figures.data import JobWeek, WeekReport
from floor.core.figures.headline import BySteps, Week, by_steps, headlines
from floor.core.figures.ink import ink_week
from floor.core.figures.late import late_jobs
from floor.core.figures.money import hands_weeks, job_week, spoiled_for, total_week
from floor.core.figures.over_time import over_times
from floor.core.figures.times import cycles, machine_weeks, per_hour, quantities, step_weeks
from floor.core.figures.wet import wet_weeks
from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from floor.core.times.cycle import Walks
from shared.files.shop import Shop


def week_report(floor: Floor, shop: Shop, week: str, now: datetime) -> WeekReport:
    """The report of an ISO week such as "2026-W48"; of a week that still runs, up to now.

    Raises ValueError for what is no ISO week.
    """
    start, end = shop.hours.week_bounds(week)
    until = max(min(end, now), start)
    walks = Walks(floor, shop)
    costs = Costs(walks, shop)
    left = left_between(floor, start, end)
    jobs, lost, steps = _money(costs, left, start, shop.unit)
    total = total_week(jobs, job_week(walks, "", account(costs, []), shop.unit))
    worked = walks.worked_between(start, end)
    made = quantities(floor, shop, start, end)
    late = late_jobs(floor, start, until)
    reasons = {code: spoiled_for(its, shop.unit) for code, its in lost.items()}
    good = [piece for pieces in left.values() for piece in pieces if piece.state == "finished"]
    return WeekReport(
        week=week,
        currency=shop.currency,
        start=start,
        until=until,
        finished=total.finished,
        spoiled=total.spoiled,
        open=_open_at(floor, end),
        jobs=jobs,
        total=total,
        cycle_time_s=cycles(walks, shop, good, working=False),
        cycle_time_working_s=cycles(walks, shop, good, working=True),
        steps=step_weeks(shop, worked),
        first_pass_yield=made.first_pass_yield,
        quality_ratio=made.quality_ratio,
        scrap_ratio=made.scrap_ratio,
        rework_ratio=made.rework_ratio,
        machines=machine_weeks(walks, shop, start, until),
        throughput_per_hour=per_hour(total.finished, shop.hours.working(start, until)),
        spoiled_by_reason=spoiled_for((each for its in lost.values() for each in its), shop.unit),
        late_jobs=sorted(each.job for each in late),
        late=late,
        hands=hands_weeks(paid_hours(costs, worked, start, until), shop.unit),
        ink=ink_week(floor, start, end),
        wet=wet_weeks(worked),
        over_time=over_times(walks, start, end),
        headlines=headlines(Week(jobs, reasons, late, steps), shop.currency, shop.words),
    )


def left_between(floor: Floor, start: datetime, end: datetime) -> dict[str, list[Piece]]:
    """By job: its pieces that were finished, spoiled or given up from one moment on and before another."""
    by_job: dict[str, list[Piece]] = defaultdict(list)
    for piece in (*floor.ended_between(start, end), *_given_up(floor, start, end)):
        by_job[piece.job].append(piece)
    return dict(sorted(by_job.items()))


def spoiled_before(floor: Floor, job: str, moment: datetime) -> list[Piece]:
    """The pieces of a job that were spoiled before a moment."""
    spoiled = (piece for piece in floor.jobs[job].pieces if piece.state == "spoiled")
    return [piece for piece in spoiled if piece.ended is not None and piece.ended < moment]


def _given_up(floor: Floor, start: datetime, end: datetime) -> list[Piece]:
    """Pieces that were given up with work in them."""
    given_up = [piece for piece in floor.pieces.values() if piece.state == "cancelled" and piece.facts]
    return [piece for piece in given_up if piece.cancelled and start <= piece.cancelled < end]


def _money(
    costs: Costs, left: Mapping[str, Sequence[Piece]], start: datetime, unit: Decimal
) -> tuple[list[JobWeek], dict[str, Sequence[Lost]], BySteps]:
    """What each job did, what it spoiled, and what the steps of all cost more than quoted.

    One account after the other: a week's charges are many.
    """
    jobs, lost = [], {}
    steps: BySteps = {}
    for code, pieces in left.items():
        each = account(costs, pieces, spoiled_before(costs.floor, code, start))
        jobs.append(job_week(costs.walks, code, each, unit))
        lost[code] = each.spoiled
        steps = by_steps(each.entries, steps)
    return jobs, lost, steps


def _open_at(floor: Floor, moment: datetime) -> int:
    """Pieces that had been opened before a moment and were still open then, as far as is known today."""
    left = (piece.ended or piece.cancelled for piece in floor.pieces.values() if piece.opened < moment)
    return sum(1 for at in left if at is None or at >= moment)
