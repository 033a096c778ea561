"""How long a step takes in this shop: what its own ledger shows, and the standard where that is too little.

Never looks at more of the past than it must: it is asked several times a second.
"""

from collections import Counter, defaultdict
from collections.abc import Container, Iterator, Mapping
from itertools import islice
from statistics import median

from msgspec import Struct

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from floor.core.times.cycle import StepTime, standard_s, step_times
from floor.core.times.robust import ENOUGH
from shared.route import Step

OF_EACH_ITEM = 50
"""So many pieces of an item that ended last are learned from."""
LOOKED_AT_MAX = 1_000
"""So many pieces that ended last are looked through for them."""

TimeKind = tuple[str, str, float]
"""Which times are alike: step, item, and what the standard for the two is on the piece's route."""


class LearnedTimes(Struct, frozen=True):
    """What has been learned: median seconds by kind."""

    learned_s: Mapping[TimeKind, float] = {}

    def takes_s(self, step: Step, item: str) -> float:
        """For how long a piece takes its station, hands and machine; a press for its least time at least."""
        learned = self.learned_s.get((step.key, item, standard_s(step)))
        if learned is None:
            return standard_s(step)
        return step.touch_s + max(learned, step.min_s) if step.is_press else learned


def learned(floor: Floor) -> LearnedTimes:
    """The times of the pieces that ended last, of all items of which there are open ones."""
    wanted = {floor.line_of(piece).item for piece in floor.open.values()}
    found: dict[TimeKind, list[float]] = defaultdict(list)
    for item, piece in _ended_last(floor, wanted):
        for time in step_times(floor, piece):
            if (seconds := _measured_s(time)) is not None:
                found[time.step.key, item, standard_s(time.step)].append(seconds)
    return LearnedTimes({kind: median(seconds) for kind, seconds in found.items() if len(seconds) >= ENOUGH})


def _ended_last(floor: Floor, items: Container[str]) -> Iterator[tuple[str, Piece]]:
    taken: Counter[str] = Counter()
    for ended, code in islice(reversed(floor.ended), LOOKED_AT_MAX):
        piece = floor.pieces[code]
        item = floor.line_of(piece).item
        if item in items and taken[item] < OF_EACH_ITEM and piece.ended == ended:
            taken[item] += 1
            yield item, piece


def _measured_s(time: StepTime) -> float | None:
    """What a step took; None where that is not known, or the standard stands in for it."""
    return None if time.processing is None or time.stood_in else time.processing.total_seconds()
