"""What lies ahead of every open piece, as the numbers that floor.core.plan.play moves.

Never decides an order: it says what there is to do, what is in work, and when which station is free.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import timedelta
from itertools import chain
from math import inf

from msgspec.structs import replace

from floor.core.plan.calendar import Calendar
from floor.core.plan.pace import LearnedTimes
from floor.core.plan.play import Visit, Walker
from floor.core.plan.presses import press_order
from floor.core.state.floor import Floor
from floor.core.state.job import Job
from floor.core.state.piece import Piece
from shared.files.shop import Shop
from shared.route import Step

Walking = tuple[Piece, Walker]


class Ahead:
    """The open pieces of a floor as numbers; stations are numbered in the order of the shop file."""

    def __init__(self, floor: Floor, shop: Shop, calendar: Calendar, times: LearnedTimes) -> None:
        self._floor = floor
        self._shop = shop
        self._calendar = calendar
        self._times = times
        self._numbers = {name: n for n, name in enumerate(shop.stations)}
        self._visits: dict[tuple[str, int], tuple[Visit, ...]] = {}
        self._from: dict[tuple[str, int, int], tuple[Visit, ...]] = {}

    def walking(self) -> Mapping[str, list[Walking]]:
        """The open pieces by job, the jobs by their due times.

        Of a held job nothing takes part but wet ink: it must be pressed all the same.
        """
        by_job: dict[str, list[Piece]] = defaultdict(list)
        for piece in self._floor.open.values():
            if not self._floor.jobs[piece.job].held or piece.wet:
                by_job[piece.job].append(piece)
        jobs = sorted((self._floor.jobs[code] for code in by_job), key=lambda job: (job.due, job.code))
        return {job.code: self._walking_of(job, by_job[job.code]) for job in jobs}

    def free_s(self) -> list[float]:
        """When each station is free: at once, when what is in it is done, or at no time that is known: it is down."""
        free_s = [inf if self._floor.down_since(name) else 0.0 for name in self._numbers]
        for piece in self._floor.present():
            if piece.in_work:
                number = self._numbers.get(piece.walk[piece.position].station or "")
                if number is not None:
                    free_s[number] = max(free_s[number], self._left_s(piece))
        return free_s

    def wet(self) -> list[Piece]:
        """The pieces that lie wet, in the order in which the presses take them."""
        wet = [piece for piece in self._floor.open.values() if piece.wet]
        return sorted(wet, key=lambda piece: press_order(self._floor, piece))

    def _walking_of(self, job: Job, pieces: Iterable[Piece]) -> list[Walking]:
        """The pieces of a job; the one that is furthest of its line sets up what nobody of the line has begun."""
        lines: dict[int, list[Walking]] = defaultdict(list)
        for piece in pieces:
            lines[piece.line].append((piece, self._walker(piece)))
        for line, its in lines.items():
            if any(step.setup_s for step in its[0][0].route):
                begun = max(piece.position + piece.in_work for piece in job.pieces if piece.line == line)
                furthest = max(range(len(its)), key=lambda n: its[n][0].position)
                its[furthest] = _setting_up(*its[furthest], begun)
        return list(chain.from_iterable(lines.values()))

    def _walker(self, piece: Piece) -> Walker:
        visits = self._visits_from(piece, piece.position)
        if self._floor.jobs[piece.job].held:
            visits = visits[:1]
        return Walker(visits=visits, inside_until_s=self._left_s(piece) if piece.in_work else None)

    def _visits_from(self, piece: Piece, position: int) -> tuple[Visit, ...]:
        """The steps from one on; pieces of a line share them, for they have one route."""
        key = (piece.job, piece.line, position)
        visits = self._from.get(key)
        if visits is None:
            visits = self._from[key] = self._visits_of(piece)[position:]
        return visits

    def _visits_of(self, piece: Piece) -> tuple[Visit, ...]:
        visits = self._visits.get((piece.job, piece.line))
        if visits is None:
            item = self._floor.line_of(piece).item
            visits = self._visits[piece.job, piece.line] = tuple(self._visit(step, item) for step in piece.route)
        return visits

    def _visit(self, step: Step, item: str) -> Visit:
        takes_s = self._times.takes_s(step, item)
        return Visit(
            stations=tuple(self._numbers[name] for name in self._shop.stations_for(step.key)),
            takes_s=takes_s,
            touch_s=min(step.touch_s, takes_s) if step.has_machine else takes_s,
            dwell=step.is_press,
            limit_s=inf if step.wait_limit_s is None else max(step.wait_limit_s - step.touch_s, 0.0),
        )

    def _left_s(self, piece: Piece) -> float:
        """Working time until the step that a piece is in will be done; a press goes on while the shop is closed."""
        step, walked = piece.route[piece.position], piece.walk[piece.position]
        assert walked.started is not None
        if step.is_press:
            return max(self._calendar.seconds(walked.started + timedelta(seconds=step.min_s)), 0.0)
        worked = self._shop.hours.working(walked.started, self._calendar.now)
        return max(self._times.takes_s(step, self._floor.line_of(piece).item) - worked.total_seconds(), 0.0)


def _setting_up(piece: Piece, walker: Walker, begun: int) -> Walking:
    """The piece, with the time to set up each step of its route from one on."""
    steps = enumerate(piece.route[piece.position :], start=piece.position)
    visits = (
        replace(visit, takes_s=visit.takes_s + step.setup_s, touch_s=visit.touch_s + step.setup_s)
        if n >= begun
        else visit
        for visit, (n, step) in zip(walker.visits, steps, strict=False)
    )
    return piece, replace(walker, visits=tuple(visits))
