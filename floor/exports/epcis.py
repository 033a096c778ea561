"""The ledger as EPCIS 2.0 in JSON-LD: what happened to each piece, for whoever follows it beyond the shop.

Never says whose hands it was, nor what a piece cost.
"""

from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

import msgspec

from floor.exports.beginnings import STEPS, Beginnings, Change
from floor.exports.moments import local, offset_of, rfc3339
from floor.exports.pieces import REMEMBERED, Pieces, Stop
from floor.exports.scratch import scratch
from floor.exports.vocabulary import (
    ACTIVE,
    COMMISSIONING,
    CONTEXT,
    DID_NOT_OCCUR,
    IN_PROGRESS,
    INSPECTING,
    NON_CONFORMANT,
    PREFIX,
    PRODUCTION_ORDER,
    Names,
    PieceNames,
    event_id,
)
from floor.exports.window import EVERYTHING, Window
from floor.ledger.row import Row, recorded, replayed
from shared.events.jobs import JobAdded, PieceOpened
from shared.events.reads import PieceSpoiled, StepAssumed, StepDone, StepInterrupted, StepStarted, Undone
from shared.events.recorded import Recorded
from shared.harmless import harmless

Told = dict[str, Any]
"""An event of EPCIS, ready to become JSON."""

TOLD = (JobAdded, PieceOpened, PieceSpoiled, StepInterrupted, Undone, *STEPS)
KINDS = frozenset(str(event.__struct_config__.tag) for event in TOLD)
"""The rows that say anything about the pieces; no other need be decoded."""


def epcis_document(events: Iterable[Told], names: Names, now: datetime) -> Iterator[bytes]:
    """The document, a piece of it at a time, with each event in a line of its own."""
    head = {
        "@context": [CONTEXT, {PREFIX: names.vocabulary}],
        "type": "EPCISDocument",
        "schemaVersion": "2.0",
        "creationDate": rfc3339(now),
    }
    encode = msgspec.json.Encoder().encode
    yield encode(head).removesuffix(b"}") + b',"epcisBody":{"eventList":['
    between = b"\n"
    for event in events:
        yield between + encode(event)
        between = b",\n"
    yield b"\n]}}\n"


def epcis_events(
    rows: Iterable[Row], look_back: Callable[[int], Row], names: Names, zone: ZoneInfo, window: Window = EVERYTHING
) -> Iterator[Told]:
    """The events of the rows in the window, in the order of the ledger.

    `rows` are all from the first on, for they say what a piece is; `look_back` gives one by its number.

    A piece is made from a blank with the first step that stands; of one that nobody began nothing is told but that it
    was spoiled. A stay that was broken off, for its press went down, is told as such. What was undone is told again,
    with the same name and a declaration of the error.
    """
    with scratch() as database:
        pieces, beginnings = Pieces(database), Beginnings(database)
        teller = _Teller(pieces, look_back, names, zone)
        for row in rows:
            if row.kind not in KINDS:
                continue
            fact = recorded(replayed(row))
            pieces.note(fact)
            change = beginnings.follow(fact)
            if window.holds(fact):
                yield from teller.begun(fact, row.hash, change)
                yield from teller.told(fact, row.hash)


class _Teller:
    """Puts rows into the words of EPCIS."""

    def __init__(self, pieces: Pieces, look_back: Callable[[int], Row], names: Names, zone: ZoneInfo) -> None:
        self._pieces = pieces
        self._look_back = look_back
        self._names = names
        self._zone = zone
        self._piece = lru_cache(REMEMBERED)(self._piece_of)

    def told(self, row: Recorded, hash: str) -> Iterator[Told]:
        """What happened to a piece by a row."""
        event = row.event
        if isinstance(event, Undone):
            for seq in event.rows:
                yield from self._as_error(row, self.told(*self._past(seq)))
        elif isinstance(event, PieceSpoiled):
            yield self._spoiled(row, event, hash)
        elif isinstance(event, StepInterrupted):
            yield self._broken_off(row, event, hash)
        elif isinstance(event, STEPS):
            yield self._step(row, event, hash)

    def begun(self, row: Recorded, hash: str, change: Change) -> Iterator[Told]:
        """If by a row a piece is begun, or is no longer begun by the step that was told, how it was made."""
        before, after = change
        if before == after:
            return
        if before is not None:
            yield from self._as_error(row, [self._made(*self._past(before))])
        if after is not None:
            yield self._made(*((row, hash) if after == row.seq else self._past(after)))

    def _past(self, seq: int) -> tuple[Recorded, str]:
        row = self._look_back(seq)
        return recorded(replayed(row)), row.hash

    def _as_error(self, undone: Recorded, events: Iterable[Told]) -> Iterator[Told]:
        error = {"declarationTime": rfc3339(local(undone.occurred_at, self._zone)), "reason": DID_NOT_OCCUR}
        return ({**told, "errorDeclaration": error} for told in events)

    def _made(self, row: Recorded, hash: str) -> Told:
        """The blank becomes the piece. Its name is from the hash's other half, for the step has the first."""
        assert isinstance(row.event, STEPS), "a piece is begun by a step"
        piece, _ = self._piece(row.event.piece)
        told = {
            "type": "TransformationEvent",
            **self._when(row, event_id(hash[len(hash) // 2 :])),
            "inputQuantityList": [{"epcClass": piece.blank, "quantity": 1}],
            "outputEPCList": [piece.piece],
            "bizStep": COMMISSIONING,
            "disposition": ACTIVE,
            **_why(piece),
        }
        return {**told, f"{PREFIX}:replaces": piece.replaced} if piece.replaced else told

    def _step(self, row: Recorded, event: StepStarted | StepDone | StepAssumed, hash: str) -> Told:
        piece, stops = self._piece(event.piece)
        stop = stops[event.step]
        if isinstance(event, StepDone):
            return self._seen(row, hash, piece, *self._names.done(event.event), **_place(stop))
        if isinstance(event, StepStarted):
            return self._seen(row, hash, piece, self._names.started(stop.key), IN_PROGRESS, **_place(stop))
        # Nobody saw it, so it is not said where it was, nor that an inspection found anything.
        step, _ = self._names.done(event.event)
        assumed = {**_place(stop), f"{PREFIX}:assumed": True}
        return self._seen(msgspec.structs.replace(row, station=None), hash, piece, step, IN_PROGRESS, **assumed)

    def _broken_off(self, row: Recorded, event: StepInterrupted, hash: str) -> Told:
        """It was in there, and the step was not done: it is begun once more."""
        piece, stops = self._piece(event.piece)
        stop = stops[event.step]
        how = {**_place(stop), f"{PREFIX}:brokenOff": True}
        return self._seen(row, hash, piece, self._names.started(stop.key), IN_PROGRESS, **how)

    def _spoiled(self, row: Recorded, event: PieceSpoiled, hash: str) -> Told:
        piece, _ = self._piece(event.piece)
        why = {f"{PREFIX}:reason": harmless(event.reason), f"{PREFIX}:replacedBy": self._names.piece(event.remake)}
        return self._seen(row, hash, piece, INSPECTING, NON_CONFORMANT, **why)

    def _seen(
        self, row: Recorded, hash: str, piece: PieceNames, biz_step: str, disposition: str, **more: object
    ) -> Told:
        where = {"readPoint": {"id": self._names.station(row.station)}} if row.station else {}
        return {
            "type": "ObjectEvent",
            **self._when(row, event_id(hash)),
            "epcList": [piece.piece],
            "action": "OBSERVE",
            "bizStep": biz_step,
            "disposition": disposition,
            **where,
            **_why(piece),
            **more,
        }

    def _when(self, row: Recorded, name: str) -> Told:
        at = rfc3339(local(row.occurred_at, self._zone))
        return {"eventID": name, "eventTime": at, "eventTimeZoneOffset": offset_of(at)}

    def _piece_of(self, code: str) -> tuple[PieceNames, tuple[Stop, ...]]:
        card = self._pieces.card(code)
        return self._names.of_piece(card), card.stops


def _place(stop: Stop) -> Told:
    return {f"{PREFIX}:place": harmless(stop.place)} if stop.place else {}


def _why(piece: PieceNames) -> Told:
    return {"bizTransactionList": [{"type": PRODUCTION_ORDER, "bizTransaction": piece.job}]}
