"""Trace a piece that washed out: how it was cured, and which other pieces may have had the same fate.

Never says that a print is bad: it shows what was scanned, the most suspicious first.
"""

from collections.abc import Callable, Iterable
from datetime import date, datetime
from typing import Literal, get_args

from msgspec import Struct, structs

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece, PieceState
from floor.core.times.cures import MARKS, Cure, Mark, cures_of
from floor.core.trace.history import PieceAnswer, piece_answer
from floor.core.trace.lots import LotUse, Used, lots_answer, lots_of
from shared.events.supplies import Material
from shared.files.shop import Shop
from shared.hours import Hours

Near = Literal["same stay", "same press", "same shift"]
"""How near two pieces were when they were cured: in one press at one time, in one shift, in one shift elsewhere."""
NEAR: tuple[Near, ...] = get_args(Near)


class Traced(Struct, frozen=True, kw_only=True):
    """A piece in a trace, and what it has in common with the one that is traced."""

    piece: Piece
    cures: tuple[Cure, ...]
    lots: tuple[Used, ...]
    near: Near | None = None
    shared_lots: tuple[Used, ...] = ()


class CureTold(Struct, frozen=True, kw_only=True):
    """A stay of a piece in a press, and what is odd about it; durations in seconds."""

    step: str
    press: str | None
    closed: datetime | None
    opened: datetime | None
    stopped: datetime | None
    held_s: float | None
    least_s: float
    over_s: float | None
    wet_s: float | None
    wet_limit_s: float | None
    closed_by: str | None
    opened_by: str | None
    marks: tuple[Mark, ...]


class TracedPiece(Struct, frozen=True, kw_only=True):
    """A piece in a trace: how it was cured, what it is made of, and what it shares with the one that is traced."""

    piece: str
    job: str
    customer: str
    design: str
    item: str
    colour: str
    size: str
    state: PieceState
    near: Near | None
    shared_lots: tuple[Used, ...]
    cures: list[CureTold]
    lots: tuple[Used, ...]


class PieceTrace(PieceAnswer, frozen=True, kw_only=True):
    """The walk of a piece, its cures and its lots, and every piece that shared a press, a shift or a lot with it."""

    customer: str
    cures: list[CureTold]
    lots: tuple[Used, ...]
    shared: list[TracedPiece]


class PressTrace(Struct, frozen=True, kw_only=True, rename={"since": "from", "until": "to"}):
    """Every piece that was in a press from one moment on and before another; None is no bound."""

    press: str
    since: datetime | None
    until: datetime | None
    pieces: list[TracedPiece]


class LotTrace(Struct, frozen=True, kw_only=True):
    """Every piece that is made of a lot."""

    material: Material
    lot: str
    in_use: list[LotUse]
    pieces: list[TracedPiece]


def trace_piece(floor: Floor, shop: Shop, piece: Piece) -> PieceTrace:
    """A shift is a working day: work beyond midnight belongs to the day it began on."""
    traced = _traced(floor, shop, piece)
    others = (_traced(floor, shop, other) for other in floor.pieces.values() if other is not piece)
    shared = (other for other in map(_comparing(traced, shop.hours), others) if other.near or other.shared_lots)
    return PieceTrace(
        **structs.asdict(piece_answer(floor, shop, piece)),
        customer=floor.jobs[piece.job].customer,
        cures=[_cure_told(cure) for cure in traced.cures],
        lots=traced.lots,
        shared=_told(floor, shared),
    )


def trace_press(floor: Floor, shop: Shop, press: str, since: datetime | None, until: datetime | None) -> PressTrace:
    """Every piece that was in a press from one moment on and before another; None is no bound."""

    def there(cure: Cure) -> bool:
        closed, over = cure.closed, cure.over
        if cure.press != press or closed is None:
            return False
        return (until is None or closed < until) and (since is None or over is None or over >= since)

    all_pieces = (_traced(floor, shop, piece) for piece in floor.pieces.values())
    there_once = (traced for traced in all_pieces if any(map(there, traced.cures)))
    return PressTrace(press=press, since=since, until=until, pieces=_told(floor, there_once))


def trace_lot(floor: Floor, shop: Shop, material: Material, lot: str) -> LotTrace:
    """Every piece that is made of a lot."""
    all_pieces = (_traced(floor, shop, piece) for piece in floor.pieces.values())
    made_of_it = (one for one in all_pieces if any((used.material, used.lot) == (material, lot) for used in one.lots))
    in_use = [each for each in lots_answer(floor) if (each.material, each.lot) == (material, lot)]
    return LotTrace(material=material, lot=lot, in_use=in_use, pieces=_told(floor, made_of_it))


def presses_of(floor: Floor, shop: Shop) -> list[str]:
    """The presses of the shop, and those that it had."""
    used = (cure.press for piece in floor.pieces.values() for cure in cures_of(floor, piece) if cure.press)
    return list(dict.fromkeys([*shop.presses, *used]))


def _traced(floor: Floor, shop: Shop, piece: Piece) -> Traced:
    return Traced(piece=piece, cures=cures_of(floor, piece), lots=lots_of(floor, shop, piece))


# What two pieces have in common


def _comparing(traced: Traced, hours: Hours) -> Callable[[Traced], Traced]:
    """How another piece is told with what it has in common with one."""
    presses, shifts = _presses(traced, hours), _shifts(traced, hours)
    lots = {used.name() for used in traced.lots}

    def near(other: Traced) -> Near | None:
        if any(_together(ours, cure) for ours in traced.cures for cure in other.cures):
            return "same stay"
        if presses & _presses(other, hours):
            return "same press"
        return "same shift" if shifts & _shifts(other, hours) else None

    def compared(other: Traced) -> Traced:
        shared = tuple(used for used in other.lots if used.name() in lots)
        return structs.replace(other, near=near(other), shared_lots=shared)

    return compared


def _presses(traced: Traced, hours: Hours) -> set[tuple[str, date]]:
    return {(cure.press, hours.shift_of(cure.at)) for cure in traced.cures if cure.press and cure.at}


def _shifts(traced: Traced, hours: Hours) -> set[date]:
    return {hours.shift_of(cure.at) for cure in traced.cures if cure.at}


def _together(one: Cure, other: Cure) -> bool:
    """Whether two pieces were in one press at one time."""
    if one.press != other.press or one.closed is None or other.closed is None:
        return False
    return (one.over is None or other.closed < one.over) and (other.over is None or one.closed < other.over)


# As it is told


def _told(floor: Floor, pieces: Iterable[Traced]) -> list[TracedPiece]:
    return [_line(floor, traced) for traced in sorted(pieces, key=_suspicion)]


def _suspicion(traced: Traced) -> tuple[int, int, datetime, str]:
    """The most suspicious first, then what was nearest in the press, then by time."""
    worst = min((MARKS.index(mark) for cure in traced.cures for mark in cure.marks), default=len(MARKS))
    nearest = NEAR.index(traced.near) if traced.near else len(NEAR)
    cured = (cure.at for cure in traced.cures if cure.at)
    return worst, nearest, min(cured, default=traced.piece.opened), traced.piece.code


def _line(floor: Floor, traced: Traced) -> TracedPiece:
    piece = traced.piece
    job = floor.jobs[piece.job]
    line = job.line(piece.line)
    return TracedPiece(
        piece=piece.code,
        job=piece.job,
        customer=job.customer,
        design=line.design,
        item=line.item,
        colour=line.colour,
        size=piece.size,
        state=piece.state,
        near=traced.near,
        shared_lots=traced.shared_lots,
        cures=[_cure_told(cure) for cure in traced.cures],
        lots=traced.lots,
    )


def _cure_told(cure: Cure) -> CureTold:
    return CureTold(
        step=cure.step,
        press=cure.press,
        closed=cure.closed,
        opened=cure.opened,
        stopped=cure.stopped,
        held_s=cure.held_s,
        least_s=cure.least_s,
        over_s=cure.over_s,
        wet_s=cure.wet_s,
        wet_limit_s=cure.wet_limit_s,
        closed_by=cure.closed_by,
        opened_by=cure.opened_by,
        marks=cure.marks,
    )
