"""Days on the floor that hypothesis makes up: any read, anywhere, in any order, and what the office does meanwhile.

Never knows the rules: it only reads, waits, and asks for jobs to be held, released and given up.
"""

from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import timedelta

from hypothesis import strategies as st
from msgspec import Struct

from floor.core.rules import Decision
from floor.core.state.floor import Floor
from floor.core.state.piece import Piece, PieceState, Walked
from shared.codes import CodeType, make
from shared.files.cards import UNDO
from shared.wish import NotPossible
from tests.making import Play, card, large_shop

ROAMER = "roaming gun"

PIECES = [make(CodeType.PIECE, serial) for serial in range(1, 6)]
"""Codes of pieces: three that are ordered, and two that a remake may get."""
CARDS = sorted(large_shop().cards)
STATIONS = list(large_shop().stations)


class Read(Struct, frozen=True):
    """A code is read somewhere, some time after the act before; `late_s` is how long it was under way."""

    code: str
    station: str | None
    after_s: float
    late_s: float = 0
    badge: str | None = None


class Next(Struct, frozen=True):
    """A piece, one of those there are, is read where its next step is done, or one further on, or the one before."""

    piece: int
    skipped: int
    after_s: float
    late_s: float
    at_last: bool
    """At the last of the stations that do the step, not at the first."""


class Spoil(Struct, frozen=True):
    """A reason card is read, and then a piece, one of those there are."""

    piece: int
    station: str
    reason: str


class TakeBack(Struct, frozen=True):
    """The undo card is read where the last read was."""

    after_s: float


class Office(Struct, frozen=True):
    """The office holds, releases or gives up a job, if it can."""

    does: str
    job: str


Act = Read | Next | Spoil | TakeBack | Office

waits_s = st.sampled_from([0.0, 0.5, 1.0, 2.5, 20.0, 60.0, 200.0, 400.0, 7_200.0])
lates_s = st.sampled_from([0.0, 0.0, 0.0, 1.0, 50.0, 300.0, 10_000.0])
pieces = st.sampled_from(PIECES)
cards = st.sampled_from(CARDS)
stations = st.sampled_from(STATIONS)
reads = st.builds(
    Read,
    code=st.one_of(pieces, cards, st.text(max_size=90)),
    station=st.sampled_from([*STATIONS, *STATIONS, None, "no such place"]),
    after_s=waits_s,
    late_s=lates_s,
    badge=st.sampled_from([None, None, None, "A", "nobody"]),
)
nexts = st.builds(
    Next,
    piece=st.integers(0, 4),
    skipped=st.sampled_from([0, 0, 0, 0, 1, 2, -1]),
    after_s=st.sampled_from([20.0, 200.0]),
    late_s=lates_s,
    at_last=st.booleans(),
)
spoils = st.builds(Spoil, piece=st.integers(0, 4), station=stations, reason=st.sampled_from(large_shop().file.reasons))
take_backs = st.builds(TakeBack, after_s=waits_s)
offices = st.builds(
    Office,
    does=st.sampled_from(["hold", "release", "release", "release", "cancel"]),
    job=st.sampled_from(["J0001", "J0002"]),
)
most_often_next: list[st.SearchStrategy[Act]] = [*[nexts] * 15, *[reads] * 4, spoils, take_backs, offices]
acts = st.integers(0, len(most_often_next) - 1).flatmap(most_often_next.__getitem__)
days: st.SearchStrategy[list[Act]] = st.lists(acts, min_size=20, max_size=80)


class Told(Struct, frozen=True):
    """A read, how all pieces stood before it, and what it led to."""

    read: Read
    before: "Standing"
    decision: Decision


Standing = dict[str, tuple[PieceState, list[Walked], str | None]]


def standing(floor: Floor) -> Standing:
    """How every piece stands: its state, its walk, its remake; a remake that was given up is as good as none."""
    return {code: _standing(piece) for code, piece in floor.pieces.items() if not (piece.remake_of and piece.cancelled)}


def _standing(piece: Piece) -> tuple[PieceState, list[Walked], str | None]:
    return piece.state, [Walked(each.started, each.done, each.passed) for each in piece.walk], piece.remake


Check = Callable[[Play, Told], None]


def new_play() -> Play:
    """A dark garment; a light one, printed in two places; and a job with one light garment."""
    play = Play(large_shop())
    play.job()
    play.job(colour="white", places=("front", "back"))
    play.job(colour="white")
    return play


def played(acts: Sequence[Act], check: Check = lambda *_: None) -> Play:
    """The floor after a day; `check` sees each read as soon as it was recorded."""
    play = new_play()
    last = STATIONS[0]
    for act in acts:
        if isinstance(act, Office):
            with suppress(NotPossible):
                {"hold": play.hold, "release": play.release, "cancel": play.cancel}[act.does](act.job)
            continue
        for read in _reads_of(play, act, last):
            last = read.station or last
            check(play, _told(play, read))
    return play


def _reads_of(play: Play, act: Act, last: str) -> list[Read]:
    match act:
        case Read():
            return [act]
        case Next():
            piece = _piece(play, act.piece)
            return [Read(piece.code, _where_next(play, piece, act), act.after_s, act.late_s)]
        case Spoil():
            reason = card(CodeType.REASON, act.reason)
            return [Read(reason, act.station, 60), Read(_piece(play, act.piece).code, act.station, 5)]
        case TakeBack():
            return [Read(card(CodeType.COMMAND, UNDO), last, act.after_s)]
    return []


def _piece(play: Play, n: int) -> Piece:
    there = list(play.floor.pieces.values())
    return there[n % len(there)]


def _where_next(play: Play, piece: Piece, act: Next) -> str:
    ahead = piece.route[max(piece.position + act.skipped, 0) :] or piece.route[-1:]
    inside = piece.walk[piece.position].station if piece.in_work else None
    return inside or play.shop.stations_for(ahead[0].key)[-1 if act.at_last else 0]


def _told(play: Play, read: Read) -> Told:
    play.now += timedelta(seconds=read.after_s)
    device = ROAMER if read.station is None else f"gun {read.station}"
    at = play.now - timedelta(seconds=read.late_s)
    before = standing(play.floor)
    decision = play.decide(read.code, read.station, device=device, at=at, badge=read.badge)
    play.record(decision.facts)
    return Told(read, before, decision)
