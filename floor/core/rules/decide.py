"""From a read to what happened: the one door through which everything that is scanned goes.

Never records: the facts it returns become true when the ledger has them.
"""

from collections.abc import Collection
from dataclasses import replace as changed
from datetime import timedelta

from msgspec.structs import replace

from floor.core.rules.reading import Decision, Reading
from floor.core.rules.spoiling import reason_read, spoiled, waiting_reason
from floor.core.rules.stopping import station_down, station_up
from floor.core.rules.undoing import undo
from floor.core.rules.walking import walk
from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from shared.codes import BadCode, Code, CodeType, parse
from shared.events.reads import CareDone, SignedIn, SignedOut, StationTaken
from shared.files.cards import SIGN_OUT, STATION_DOWN, STATION_UP, UNDO, Card
from shared.files.near import nearest
from shared.files.shop import Shop
from shared.scan import Answer, Scan

FEW = 4
"""So many names are read at a glance, and fit into an answer."""


def decide(floor: Floor, shop: Shop, scan: Scan) -> Decision:
    """What a read leads to on this floor. Never raises for any text, at any station, in any order."""
    reading = Reading(floor, shop, scan)
    code = parse(scan.text)
    if isinstance(code, BadCode):
        return reading.refused("not-a-code", reading.say(code.say, **code.values))
    if lost := _nobody_or_nowhere(reading):
        return lost
    if repeated := _repeated(reading, code):
        return repeated
    return _piece(reading, code) if code.type is CodeType.PIECE else _card(reading, code)


def _nobody_or_nowhere(reading: Reading) -> Decision | None:
    if reading.station is not None and reading.station not in reading.shop.stations:
        say = reading.say("There is no station “{station}”. Read a station card.", station=reading.station)
        return reading.refused("no-station", say + _meant(reading, reading.station, reading.shop.stations))
    if reading.scan.badge is not None and reading.scan.badge not in reading.shop.badges:
        say = reading.say("There is no badge “{badge}” in the shop file.", badge=reading.scan.badge)
        return reading.refused("unknown", say + _meant(reading, reading.scan.badge, reading.shop.badges))
    return None


def _meant(reading: Reading, name: str, known: Collection[str]) -> str:
    """The nearest name; where none is near, as with names of one letter, the few that there are."""
    if near := nearest(name, known):
        return f" {reading.say('Did you mean “{name}”?', name=near)}"
    return f" {reading.say('There are: {names}.', names=', '.join(known))}" if 0 < len(known) <= FEW else ""


def _repeated(reading: Reading, code: Code) -> Decision | None:
    """The same code at the same station within the repeat window: no event, the same answer again.

    Two reads of one moment may arrive in either order. A badge that was typed anew makes it another read.
    """
    if reading.station is None or (last := reading.memory.last_read) is None:
        return None
    window = timedelta(seconds=reading.shop.file.shop.repeat_window_s)
    if abs(reading.scan.at - last.at) > window or parse(last.read.text) != code:
        return None
    if reading.scan.badge not in {None, last.badge}:
        return None
    answer = last.read.answer
    return Decision((), replace(answer, outcome="repeated") if answer.good else answer)


def _piece(reading: Reading, code: Code) -> Decision:
    piece = reading.floor.pieces.get(code.text)
    if piece is None:
        say = reading.say("No piece here has this code. Is its ticket from this shop?")
        return reading.refused("unknown", say)
    if reading.station is None:
        return _no_station(reading, piece)
    if reason := waiting_reason(reading):
        return spoiled(reading, piece, reason)
    return walk(reading, piece)


def _card(reading: Reading, code: Code) -> Decision:
    card = reading.shop.cards.get(code.text)
    if card is None:
        return reading.refused("unknown", reading.say("This card is not in the shop file. Print the cards again."))
    if card.type is CodeType.STATION:
        return _station_card(reading, card)
    if card.type is CodeType.CARE:
        return _care(reading, card.name)
    if reading.station is None:
        return _no_station(reading)
    return _AT_A_STATION[card.type](reading, card.name)


def _no_station(reading: Reading, piece: Piece | None = None) -> Decision:
    say = reading.say("This scanner has no station yet. Read a station card first.")
    return reading.refused("no-station", say, piece)


def _station_card(reading: Reading, card: Card) -> Decision:
    if reading.scan.station is not None:
        if reading.scan.station == card.name:
            say = reading.say("This scanner stands at {station}.", station=card.name)
            return Decision((), Answer(outcome="repeated", say=say))
        say = reading.say("This scanner belongs to {station} and stays there.", station=reading.scan.station)
        return reading.refused("wrong-station", say)
    answer = Answer(outcome="accepted", say=reading.say("Now at {station}.", station=card.name))
    event = StationTaken(scanner=reading.scan.device, at_station=card.name, read=reading.read(answer))
    there = changed(reading, scan=replace(reading.scan, station=card.name))
    return Decision((there.fact(event),), answer)


def _care(reading: Reading, task: str) -> Decision:
    answer = Answer(outcome="accepted", say=reading.say("Done: {task}.", task=task))
    return Decision((reading.fact(CareDone(task=task, read=reading.read(answer))),), answer)


def _sign_in(reading: Reading, badge: str) -> Decision:
    say = reading.say("{badge} works at {station}.", badge=badge, station=reading.station)
    answer = Answer(outcome="accepted", say=say)
    event = SignedIn(at_station=reading.station or "", badge_name=badge, read=reading.read(answer))
    return Decision((reading.fact(event),), answer)


def _command(reading: Reading, command: str) -> Decision:
    return _COMMANDS[command](reading)


def _sign_out(reading: Reading) -> Decision:
    if who := reading.badge:
        say = reading.say("{badge} has left {station}.", badge=who, station=reading.station)
    else:
        say = reading.say("Nobody was signed in.")
    answer = Answer(outcome="accepted", say=say)
    event = SignedOut(at_station=reading.station or "", read=reading.read(answer))
    return Decision((reading.fact(event),), answer)


_COMMANDS = {UNDO: undo, SIGN_OUT: _sign_out, STATION_DOWN: station_down, STATION_UP: station_up}
_AT_A_STATION = {CodeType.BADGE: _sign_in, CodeType.REASON: reason_read, CodeType.COMMAND: _command}
