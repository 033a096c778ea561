"""A step that was done: the fact, what is said to it, and where the piece goes next.

Never asks whether it may be done: that is floor.core.rules.walking.
"""

from collections.abc import Iterator, Sequence
from datetime import timedelta

from floor.core.rules.reading import Decision, Reading
from floor.core.state.piece import Piece
from shared.events.reads import StepAssumed, StepDone
from shared.events.recorded import Fact
from shared.route import Step
from shared.scan import Answer
from shared.wording import duration

A_MINUTE = timedelta(minutes=1)
"""By so much the clock of a bench may be slow without anybody being told."""


def done(reading: Reading, piece: Piece, index: int, over_s: float | None = None) -> Decision:
    """Accepted: the step is done, and those before it that nobody scanned are taken as done.

    `over_s` is for how long a press held it over its least time, where that was too long.
    """
    step = piece.route[index]
    upcoming = piece.step if index < piece.position else next(iter(piece.route[index + 1 :]), None)
    notes = [*_held_too_long(reading, over_s), *hints(reading, piece, index)]
    answer = Answer(
        outcome="accepted",
        say=one_after_another(f"{step.event.capitalize()}.", where_next(reading, upcoming), *notes),
        look=bool(notes),
        piece=piece.code,
        step=step.label,
        next=upcoming.label if upcoming else None,
        over_s=over_s,
        settings=upcoming.settings if upcoming else {},
    )
    event = StepDone(piece=piece.code, step=index, event=step.event, read=reading.read(answer))
    return Decision((*assumed(reading, piece, index), reading.fact(event)), answer)


def assumed(reading: Reading, piece: Piece, index: int) -> Iterator[Fact]:
    """Steps that were passed without a scan are recorded as assumed, before the read that shows it."""
    for n in range(piece.position, index):
        yield reading.fact(StepAssumed(piece=piece.code, step=n, event=piece.route[n].event), follows=True)


def _held_too_long(reading: Reading, over_s: float | None) -> Iterator[str]:
    if over_s is not None:
        yield reading.say("It was in there {over} over its time: look at it closely.", over=duration(over_s))


def hints(reading: Reading, piece: Piece, index: int) -> Iterator[str]:
    """What the one who scans should know besides."""
    if passed := [piece.route[n].label for n in range(piece.position, index)]:
        yield reading.say("Not scanned, taken as done: {steps}.", steps=", ".join(passed))
    if reading.down(reading.station):
        yield reading.say("{station} is down.", station=reading.station)
    if piece.opened - reading.scan.at > A_MINUTE:
        yield reading.say("Its ticket was made later, on {moment}.", moment=reading.shown(piece.opened))


def where_next(reading: Reading, step: Step | None) -> str:
    """The next step and the stations that do it, without those that are down; of a piece with none left, its end."""
    if step is None:
        return reading.say("Finished.")
    stations = _up(reading, step) or reading.shop.stations_for(step.key)
    if not stations:
        return reading.say("Next: {step}.", step=step.label)
    return reading.say("Next: {step} at {stations}.", step=step.label, stations=either(reading, stations))


def elsewhere(reading: Reading, step: Step) -> str:
    """Where to go instead of a station that is down."""
    up = _up(reading, step)
    if not up:
        return reading.say("Read its station up card when it works again.")
    return reading.say("Go to {stations}.", stations=either(reading, up))


def _up(reading: Reading, step: Step) -> Sequence[str]:
    return [name for name in reading.shop.stations_for(step.key) if not reading.down(name)]


def either(reading: Reading, names: Sequence[str]) -> str:
    """One of several: "press 1 or press 2"."""
    return reading.say(" or ").join(names)


def one_after_another(*sentences: str) -> str:
    """Sentences in a row, without those that are empty."""
    return " ".join(filter(None, sentences))
