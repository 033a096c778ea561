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
from floor.core.times.cycle import StepTime, Walks, standard_s
from floor.core.times.robust import ENOUGH
from shared.files.shop import Shop
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


def learned(floor: Floor, shop: Shop) -> LearnedTimes:
    """The times of the pieces that ended last, of all items of which there are open ones."""
    wanted = {floor.line_of(piece).item for piece in floor.open.values()}
    walks = Walks(floor, shop)
    found: dict[TimeKind, list[float]] = defaultdict(list)
    for item, piece in _ended_last(floor, wanted):
        for time in walks.of(piece):
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
    """What a step took of its station; None where that is not known, or the standard stands in for it."""
    if time.stood_in or time.done is None:
        return None
    if time.step.is_press:  # as long as it stayed closed, whatever else lay in it
        return time.processing.total_seconds() if time.processing is not None else None
    return time.hands.seconds + time.machine.seconds if time.machine else time.hands.seconds
