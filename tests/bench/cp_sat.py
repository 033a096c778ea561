"""The same work solved by OR-Tools CP-SAT, as a flow shop of machines side by side with wet limits.

Never knows our rule: it is told of our plan only where it is asked to make it better.
"""

from collections import defaultdict
from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct
from ortools.sat.python import cp_model

from floor.core.plan.sequencing import Batch, Played

GRAIN_S = 5
"""Every time of the instances is a multiple of it, which makes the solver's numbers small."""
WORKERS = 2


class Solved(Struct, frozen=True, kw_only=True):
    """The weighted lateness of the best plan that was found (None: no plan was), its lower bound, the time it took."""

    best: float | None
    bound: float
    seconds: float


def solve(batches: Sequence[Batch], limit_s: float, ours: Played | None = None) -> Solved:
    """The least weighted lateness that is found in so many seconds, from our plan on if one is given."""
    model = _Model(batches)
    if ours is not None:
        model.begin_with(ours)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = limit_s
    solver.parameters.num_workers = WORKERS
    found = solver.solve(model.model) in {cp_model.OPTIMAL, cp_model.FEASIBLE}
    return Solved(
        best=solver.objective_value * GRAIN_S if found else None,
        bound=max(solver.best_objective_bound, 0) * GRAIN_S,
        seconds=solver.wall_time,
    )


class _Model:
    def __init__(self, batches: Sequence[Batch]) -> None:
        self.model = cp_model.CpModel()
        self.batches = batches
        self.horizon = int(sum(batch.work_s for batch in batches)) // GRAIN_S
        self.starts = [[self._piece(batch, piece) for piece in range(len(batch.walkers))] for batch in batches]
        self._stations_are_taken()
        for pieces in self.starts:
            self._alike_pieces_in_turn(pieces)
        self.model.minimize(sum(map(self._lateness, batches, self.starts)))

    def begin_with(self, ours: Played) -> None:
        stays = iter(ours.stays)
        for n in ours.sequence:
            for starts, its in zip(self.starts[n], stays, strict=False):
                for start, stay in zip(starts, its, strict=True):
                    self.model.add_hint(start, round(stay.starts_s / GRAIN_S))

    def _piece(self, batch: Batch, piece: int) -> list[cp_model.IntVar]:
        """When each step of a piece begins: after the one before, and a press within the wet limit."""
        visits = batch.walkers[piece].visits
        starts = [self.model.new_int_var(0, self.horizon, "") for _ in visits]
        for n, visit in enumerate(visits[1:], start=1):
            ready = starts[n - 1] + round(visits[n - 1].takes_s / GRAIN_S)
            self.model.add(starts[n] >= ready)
            if visit.dwell:
                self.model.add(starts[n] <= ready + round(visit.limit_s / GRAIN_S))
        return starts

    def _stations_are_taken(self) -> None:
        at: dict[tuple[int, ...], list[cp_model.IntervalVar]] = defaultdict(list)
        for batch, pieces in zip(self.batches, self.starts, strict=True):
            for walker, starts in zip(batch.walkers, pieces, strict=True):
                for visit, start in zip(walker.visits, starts, strict=True):
                    takes = round(visit.takes_s / GRAIN_S)
                    at[visit.stations].append(self.model.new_fixed_size_interval_var(start, takes, ""))
        for stations, intervals in at.items():
            self.model.add_cumulative(intervals, [1] * len(intervals), len(stations))

    def _alike_pieces_in_turn(self, pieces: Sequence[Sequence[cp_model.IntVar]]) -> None:
        """The pieces of a job are alike, so nothing is lost if none overtakes another."""
        for before, after in pairwise(pieces):
            for one, other in zip(before, after, strict=True):
                self.model.add(one <= other)

    def _lateness(self, batch: Batch, pieces: Sequence[Sequence[cp_model.IntVar]]) -> cp_model.LinearExprT:
        late = self.model.new_int_var(0, self.horizon, "")
        for walker, starts in zip(batch.walkers, pieces, strict=True):
            ends = starts[-1] + round(walker.visits[-1].takes_s / GRAIN_S)
            self.model.add(late >= ends - round(batch.due_s / GRAIN_S))
        return round(batch.weight) * late
