"""A piece at a station: may the step be done, and what comes next.

Never spoils a piece and never takes anything back: that is floor.rules.spoiling and floor.rules.undoing.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from math import ceil

from floor.presses import dwelt_at
from floor.rules.reading import Decision, Reading
from floor.state import Piece
from floor.wording import duration
from shared.events import Contradicted, Fact, StepAssumed, StepDone, StepStarted
from shared.route import Step
from shared.scan import Answer


def walk(reading: Reading, piece: Piece) -> Decision:
    """What a piece's code at a station leads to, when no reason card waits for it."""
    if barred := _barred(reading, piece):
        return barred
    index = _step_here(reading, piece)
    if index is None:
        return _nothing_to_do_here(reading, piece)
    if index < piece.position:
        return _told_late(reading, piece, index)
    if missed := _missed(reading, piece, index):
        return missed
    return _in_or_out(reading, piece, index)


def _barred(reading: Reading, piece: Piece) -> Decision | None:
    """Refused, when nothing more is to be done to the piece. A late read from before that is a fact like any other.

    A hold stops what has not been begun: wet ink is still cured, and a press is still opened.
    """

    def since(moment: datetime | None) -> bool:
        return moment is not None and reading.scan.at >= moment

    if since(piece.spoiled.at if piece.spoiled else None):
        say = reading.say("This piece was spoiled. Its remake is {remake}.", remake=piece.remake)
        return reading.refused("spoiled", say, piece)
    if since(piece.cancelled):
        return reading.given_up(piece)
    if since(piece.latest if piece.finished else None):
        return reading.refused("finished", reading.say("This piece is finished."), piece)
    if since(reading.floor.jobs[piece.job].held_since) and not (piece.wet or piece.in_work):
        return reading.refused("held", reading.say("Job {job} is on hold. Put the piece aside.", job=piece.job), piece)
    return None


def _step_here(reading: Reading, piece: Piece) -> int | None:
    """The first step that is done at this station and that was not behind the piece at the moment of the read."""
    for n, (step, walked) in enumerate(zip(piece.route, piece.walk, strict=True)):
        over = walked.done or walked.passed
        behind = over is not None and over <= reading.scan.at
        if not behind and reading.shop.does(reading.station or "", step.key):
            return n
    return None


def _nothing_to_do_here(reading: Reading, piece: Piece) -> Decision:
    behind = [step for step in piece.route if reading.shop.does(reading.station or "", step.key)]
    if behind:
        return _already(reading, piece, behind[-1])
    say = f"{reading.say('Not here.')} {_where_next(reading, piece.step)}"
    return reading.refused("wrong-station", say, piece)


def _told_late(reading: Reading, piece: Piece, index: int) -> Decision:
    """A late read may tell when an assumed step really was done, or contradict what is recorded."""
    walked = piece.walk[index]
    if walked.assumed:
        return _done(reading, piece, index)
    if walked.station != reading.station:
        return _contradicted(reading, piece, index)
    return _already(reading, piece, piece.route[index])


def _already(reading: Reading, piece: Piece, step: Step) -> Decision:
    already = reading.say("{event} already.", event=step.event.capitalize())
    say = f"{already} {_where_next(reading, piece.step)}"
    return reading.refused("wrong-station", say, piece)


def _contradicted(reading: Reading, piece: Piece, index: int) -> Decision:
    step, walked = piece.route[index], piece.walk[index]
    answer = Answer(
        outcome="refused",
        reason="wrong-station",
        say=reading.say(
            "{event} is recorded at {station} too. Both are kept for a person to settle.",
            event=step.event.capitalize(),
            station=walked.station,
        ),
        piece=piece.code,
        step=step.label,
    )
    event = Contradicted(piece=piece.code, step=index, read=reading.read(answer))
    return Decision((reading.fact(event),), answer)


def _missed(reading: Reading, piece: Piece, index: int) -> Decision | None:
    """Refused, when a step on the way here must not be missed."""
    for n in range(piece.position, index):
        step = piece.route[n]
        if step.if_missed == "stop":
            return _stopped(reading, piece, step, n)
    return None


def _stopped(reading: Reading, piece: Piece, step: Step, index: int) -> Decision:
    walked = piece.walk[index]
    if walked.started is not None:
        still = "Still in {station}: {step} was started and is not finished. Scan it out there."
        say = reading.say(still, station=walked.station, step=step.label)
    else:
        missing = reading.say("{step} is missing.", step=step.label.capitalize())
        say = f"{missing} {_where_next(reading, step)}"
    return reading.refused("missed-step", say, piece, step=step)


def _in_or_out(reading: Reading, piece: Piece, index: int) -> Decision:
    step, walked = piece.route[index], piece.walk[index]
    if step.scans == "out":
        return _done(reading, piece, index)
    if walked.started is None:
        return _started(reading, piece, index)
    opens = dwelt_at(reading.floor, step, walked)
    if walked.station != reading.station:
        if _interrupted(step, walked.started, opens, reading.scan.at):
            return _started(reading, piece, index)
        say = reading.say("This piece is in {station}. Scan it out there.", station=walked.station)
        return reading.refused("wrong-station", say, piece, step=step)
    return _too_early(reading, piece, step, opens) or _done(reading, piece, index)


def _interrupted(step: Step, closed: datetime, opens: datetime | None, at: datetime) -> bool:
    """Whether its press was down before the piece had had its time, so that it may be pressed anew in another."""
    return opens is None or opens > max(closed + timedelta(seconds=step.min_s), at)


def _too_early(reading: Reading, piece: Piece, step: Step, opens: datetime | None) -> Decision | None:
    """Refused, as long as the piece has not had its time in a press that works."""
    if opens is None:
        went_down = "{station} went down before its time was over: it must be pressed anew."
        say = f"{reading.say(went_down, station=reading.station)} {_elsewhere(reading, step)}"
        return reading.refused("station-down", say, piece, step=step)
    left_s = min((opens - reading.scan.at).total_seconds(), step.min_s)
    if left_s <= 0:
        return None
    say = reading.say("Too early: keep it closed {seconds} s more, then scan again.", seconds=ceil(left_s))
    return reading.refused("too-short", say, piece, step=step, seconds_left=left_s)


def _started(reading: Reading, piece: Piece, index: int) -> Decision:
    step = piece.route[index]
    if reading.down(reading.station):
        return _station_is_down(reading, piece, step)
    started = reading.say("{step} started at {station}.", step=step.label.capitalize(), station=reading.station)
    opens = reading.say("Opens in {seconds} s.", seconds=ceil(step.min_s)) if step.min_s else ""
    answer = Answer(
        outcome="started",
        say=_one_after_another(started, opens, _wet_too_long(reading, piece), _passed(reading, piece, index)),
        piece=piece.code,
        step=step.label,
        next=step.label,
        seconds_left=step.min_s or None,
        settings=step.settings,
    )
    event = StepStarted(piece=piece.code, step=index, read=reading.read(answer))
    return Decision((*_assumed(reading, piece, index), reading.fact(event)), answer)


def _station_is_down(reading: Reading, piece: Piece, step: Step) -> Decision:
    """Refused: nothing is begun at a station that is down. What was done there all the same is a fact."""
    is_down = reading.say("{station} is down.", station=reading.station)
    return reading.refused("station-down", f"{is_down} {_elsewhere(reading, step)}", piece, step=step)


def _elsewhere(reading: Reading, step: Step) -> str:
    up = [name for name in reading.shop.stations_for(step.key) if not reading.down(name)]
    if not up:
        return reading.say("Read its station up card when it works again.")
    return reading.say("Go to {stations}.", stations=_either(reading, up))


def _either(reading: Reading, stations: Sequence[str]) -> str:
    return reading.say(" or ").join(stations)


def _one_after_another(*sentences: str) -> str:
    return " ".join(filter(None, sentences))


def _done(reading: Reading, piece: Piece, index: int) -> Decision:
    step = piece.route[index]
    upcoming = piece.step if index < piece.position else next(iter(piece.route[index + 1 :]), None)
    answer = Answer(
        outcome="accepted",
        say=_one_after_another(
            f"{step.event.capitalize()}.", _where_next(reading, upcoming), _passed(reading, piece, index)
        ),
        piece=piece.code,
        step=step.label,
        next=upcoming.label if upcoming else None,
        settings=upcoming.settings if upcoming else {},
    )
    event = StepDone(piece=piece.code, step=index, event=step.event, read=reading.read(answer))
    return Decision((*_assumed(reading, piece, index), reading.fact(event)), answer)


def _assumed(reading: Reading, piece: Piece, index: int) -> Iterator[Fact]:
    """Steps that were passed without a scan are recorded as assumed, before the read that shows it."""
    for n in range(piece.position, index):
        yield reading.fact(StepAssumed(piece=piece.code, step=n, event=piece.route[n].event), follows=True)


def _passed(reading: Reading, piece: Piece, index: int) -> str:
    """What the one who scans should know of the steps that nobody did."""
    passed = [piece.route[n].label for n in range(piece.position, index)]
    return reading.say("Not scanned, taken as done: {steps}.", steps=", ".join(passed)) if passed else ""


def _wet_too_long(reading: Reading, piece: Piece) -> str:
    """What the one who closes the press should know, for the piece may not last."""
    if piece.step is None or not piece.wet or piece.step.wait_limit_s is None:
        return ""
    wet_s = (reading.scan.at - piece.waiting_since()).total_seconds()
    limit_s = piece.step.wait_limit_s
    if wet_s <= limit_s:
        return ""
    return reading.say("It was wet for {wet}, longer than {limit}.", wet=duration(wet_s), limit=duration(limit_s))


def _where_next(reading: Reading, step: Step | None) -> str:
    """The next step and the stations that do it, without those that are down; of a piece with none left, its end."""
    if step is None:
        return reading.say("Finished.")
    stations = reading.shop.stations_for(step.key)
    up = [name for name in stations if not reading.down(name)]
    if not stations:
        return reading.say("Next: {step}.", step=step.label)
    return reading.say("Next: {step} at {stations}.", step=step.label, stations=_either(reading, up or stations))
