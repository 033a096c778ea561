"""What goes wrong in the demo's day, and what it leaves behind in the ledger.

Never goes wrong twice with one piece.
"""

from collections.abc import Callable, Iterable, Sequence
from random import Random
from typing import NamedTuple

from demo_shop.day import Day, Doing, Occurrence, StationVisit
from demo_shop.play import Heard
from demo_shop.racks import Carried
from shared.codes import CodeType
from shared.events.base import Event
from shared.events.floor import AlarmRaised
from shared.events.reads import PieceSpoiled, ReadRefused, StepAssumed, Undone
from shared.files.cards import UNDO
from shared.route import Step

STRAY = "2900417700019"
"""A number such as the bar code on a bag of buttons may have."""


def forgotten_scan(day: Day, visit: StationVisit) -> Doing:
    """The work is done, and nobody reads the ticket."""
    yield from day.work(visit)
    day.racks.go_on(visit.piece)


def double_read(day: Day, visit: StationVisit) -> Doing:
    """The scanner reads the same ticket twice at one pull of its trigger."""
    yield from day.work(visit)
    yield from day.scan(visit.station, visit.code, times=2)
    day.racks.go_on(visit.piece)


def wrong_ticket(day: Day, visit: StationVisit) -> Doing:
    """The ticket of another piece is read, and the read is taken back."""
    yield from day.work(visit)
    other = day.racks.last_waiting(visit.station)
    if other is not None:
        yield from day.scan(visit.station, other.code, day.cards[CodeType.COMMAND, UNDO])
    yield from day.scan(visit.station, visit.code)
    day.racks.go_on(visit.piece)


def not_inspected(day: Day, visit: StationVisit) -> Doing:
    """The printer's hands want to go on with a piece that nobody has inspected: it is refused."""
    yield from day.work(visit)
    yield from day.scan(visit.station, visit.code)
    yield day.env.timeout(10)
    yield from day.scan(visit.station, visit.code, expect="missed-step")
    day.racks.go_on(visit.piece)


def spoiled_at_inspection(day: Day, visit: StationVisit) -> Doing:
    """The print shows bands: reason card, then piece."""
    yield from day.work(visit)
    told = yield from day.scan(visit.station, day.cards[CodeType.REASON, "banding"], visit.code)
    day.remake(told, visit.piece.job)


def spoiled_at_packing(day: Day, visit: StationVisit) -> Doing:
    """Packed already when the stain is seen: piece, then reason card, then the piece again."""
    yield from day.work(visit)
    told = yield from day.scan(visit.station, visit.code, day.cards[CodeType.REASON, "stain"], visit.code)
    day.remake(told, visit.piece.job)


def left_on_the_rack(day: Day, visit: StationVisit) -> Doing:
    """Printed, laid aside wet, and forgotten until the wall says so."""
    yield from day.work(visit)
    yield from day.scan(visit.station, visit.code)
    day.racks.lay_aside(visit.piece)


def opened_too_early(day: Day, visit: StationVisit) -> Doing:
    """The press is opened when two thirds of the time are over; it is closed again for as long as is said."""
    yield from day.handle(visit)
    yield from day.scan(visit.station, visit.code, expect="started")
    yield day.env.timeout(visit.step.min_s * 2 / 3)
    told = yield from day.scan(visit.station, visit.code, expect="too-short")
    yield day.env.timeout((told.seconds_left or 0) + 1)
    yield from day.scan(visit.station, visit.code)
    day.racks.go_on(visit.piece)


def stray_barcode(day: Day, visit: StationVisit) -> Doing:
    """The scanner catches another label first."""
    yield from day.work(visit)
    yield from day.scan(visit.station, STRAY, expect="not-a-code")
    yield from day.scan(visit.station, visit.code)
    day.racks.go_on(visit.piece)


Evidence = Callable[[Sequence[Event], Sequence[Heard]], int]


class Mishap(NamedTuple):
    """Something that goes wrong so many times at a step, and how often its mark is found afterwards."""

    happens: Occurrence
    step: str
    times: int
    found: Evidence
    min_s: float = 0
    """Only where the step dwells so long: hands may be busy, and would come to a short one in time."""


def _refused(reason: str) -> Evidence:
    return lambda events, _heard: sum(
        isinstance(event, ReadRefused) and event.read.answer.reason == reason for event in events
    )


def _of(*kinds: type) -> Evidence:
    return lambda events, _heard: sum(isinstance(event, kinds) for event in events)


def _spoiled(reason: str) -> Evidence:
    return lambda events, _heard: sum(isinstance(event, PieceSpoiled) and event.reason == reason for event in events)


def _wet(events: Sequence[Event], _heard: Sequence[Heard]) -> int:
    return sum(isinstance(event, AlarmRaised) and event.alarm == "wet too long" for event in events)


def _repeated(_events: Sequence[Event], heard: Sequence[Heard]) -> int:
    """A repeated read leaves no event: that is the point of it. Its answer tells."""
    return sum(each.answer.outcome == "repeated" for each in heard)


MISHAPS = (
    Mishap(wrong_ticket, "pretreat", 1, _of(Undone)),
    Mishap(forgotten_scan, "pretreat", 2, _of(StepAssumed)),
    Mishap(not_inspected, "underlayer", 1, _refused("missed-step")),
    Mishap(spoiled_at_inspection, "inspect", 1, _spoiled("banding")),
    Mishap(left_on_the_rack, "colour", 1, _wet),
    Mishap(opened_too_early, "cure", 1, _refused("too-short"), min_s=180),
    Mishap(spoiled_at_packing, "pack", 1, _spoiled("stain")),
    Mishap(stray_barcode, "pack", 1, _refused("not-a-code")),
    Mishap(double_read, "colour", 3, _repeated),
)


def plan(pieces: Iterable[Carried], seed: int) -> dict[tuple[str, str], Occurrence]:
    """Which piece meets with what, by its code and the label of the step."""
    random = Random(seed)
    left = list(pieces)
    planned: dict[tuple[str, str], Occurrence] = {}
    for mishap in MISHAPS:
        able = [(piece, step) for piece in left if (step := _place_for(mishap, piece)) is not None]
        if mishap.happens is wrong_ticket:  # somebody else's ticket must still lie there
            able = able[: len(able) // 2]
        for piece, step in random.sample(able, mishap.times):
            planned[piece.code, step.label] = mishap.happens
            left.remove(piece)
    return planned


def _place_for(mishap: Mishap, piece: Carried) -> Step | None:
    fits = (step for step in piece.route if step.key == mishap.step and step.min_s >= mishap.min_s)
    return next(fits, None)
