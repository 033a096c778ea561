"""A reason card and a piece: the piece is spoiled, and a remake is opened in its place.

Never throws a cost away: the spoiled piece keeps all that went into it.
"""

from decimal import Decimal

from floor.core.rules.reading import Decision, Reading
from floor.core.rules.steps import one_after_another
from floor.core.rules.taking_out import still_in
from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from shared.codes import CodeType, make
from shared.events.jobs import PieceOpened
from shared.events.reads import PieceSpoiled, ReasonRead
from shared.files.shop import PrintInk
from shared.route import INKS, Route
from shared.scan import Answer

PAIR_S = 30
"""How far apart a reason card and its piece may be read, in either order."""


def waiting_reason(reading: Reading) -> str | None:
    """The reason whose card was read here just now, and which waits for its piece."""
    waiting = reading.memory.reason
    return waiting[0] if waiting and reading.within(PAIR_S, waiting[1]) else None


def reason_read(reading: Reading, reason: str) -> Decision:
    """A reason card: for the piece that was read just now, where the shop reads them so, or for the next one."""
    if piece := _read_just_now(reading):
        return spoiled(reading, piece, reason)
    say = reading.say("Reason: {reason}. Now read the piece, within {seconds} s.", reason=reason, seconds=PAIR_S)
    answer = Answer(outcome="accepted", say=say)
    event = ReasonRead(at_station=reading.station or "", reason=reason, read=reading.read(answer))
    return Decision((reading.fact(event),), answer)


def _read_just_now(reading: Reading) -> Piece | None:
    """The piece that a reason card may be about already."""
    last = reading.memory.last_piece
    if reading.shop.file.shop.reason_card == "before" or last is None or not reading.within(PAIR_S, last[1]):
        return None
    piece = reading.floor.pieces.get(last[0])
    return piece if piece and piece.state in {"open", "finished"} else None


def next_code(floor: Floor) -> str:
    """The code of the next piece that is opened."""
    return make(CodeType.PIECE, floor.opened + 1)


def spoiled(reading: Reading, piece: Piece, reason: str) -> Decision:
    """A piece that can't be sold, and the remake that takes its place."""
    if piece.state == "spoiled":
        say = reading.say("This piece was spoiled before. Its remake is {remake}.", remake=piece.remake)
        return reading.refused("spoiled", say, piece)
    if piece.cancelled or reading.floor.jobs[piece.job].cancelled:
        return reading.given_up(piece)
    remake = PieceOpened(
        piece=next_code(reading.floor),
        job=piece.job,
        line=piece.line,
        number=piece.number,
        size=piece.size,
        route=_route_today(reading, piece),
        remake_of=piece.code,
    )
    answer = Answer(
        outcome="accepted",
        say=one_after_another(
            reading.say(
                "Spoiled: {reason}: {piece}. Its remake is {remake}: print its ticket.",
                reason=reason,
                piece=reading.named(piece),
                remake=remake.piece,
            ),
            still_in(reading, piece),
        ),
        piece=piece.code,
        next=piece.route[0].label if piece.route else None,
        remake=remake.piece,
    )
    event = PieceSpoiled(piece=piece.code, reason=reason, remake=remake.piece, read=reading.read(answer))
    return Decision((reading.fact(event), reading.fact(remake, follows=True)), answer)


def _route_today(reading: Reading, piece: Piece) -> Route:
    """The route of a remake: as the shop works today, for it may have learned; its ink is that of the first piece."""
    line = reading.floor.line_of(piece)
    try:
        return reading.shop.route(line.item, line.shade, [_ink(piece.route, each) for each in line.places])
    except KeyError:
        return piece.route  # the shop has no such item any more, or not in this shade


def _ink(route: Route, place: str) -> PrintInk:
    uses = [step.uses for step in route if step.place in {"", place}]
    most = {ink: max((each.ink_ml(ink) for each in uses), default=Decimal(0)) for ink in INKS}
    laid = ((ink, each.estimated_ml) for each in uses for ink in INKS if each.ink_ml(ink))
    estimates: dict[str, Decimal] = {ink: estimated for ink, estimated in laid if estimated is not None}
    return PrintInk(place=place, white_ml=most["white"], colour_ml=most["colour"], estimates=estimates)
