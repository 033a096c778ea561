"""Readings: what a print took of each ink as it was measured, checked against the piece, as facts.

Never guesses which print is meant.
"""

from collections.abc import Iterator, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from shared.events.recorded import Fact
from shared.events.supplies import InkRead
from shared.files.shop import Shop
from shared.files.tables import PRINT_ML_MAX
from shared.money import rounded_parts
from shared.route import INKS, InkName, Step

DROP_ML = Decimal("0.000001")

Said = Literal["place", "white", "colour", "at"]
Wrong = tuple[Said, str, str]
"""What of a reading is wrong, what was found there, what is allowed."""


class InkReading(Struct, frozen=True, kw_only=True):
    """The ink of one print of a piece. Without a place, the piece's only one is meant."""

    piece: Piece
    place: str | None
    ml: Mapping[InkName, Decimal]
    at: datetime


def wrongs(floor: Floor, shop: Shop, reading: InkReading) -> Iterator[Wrong]:
    """All that is wrong with a reading."""
    piece, places = reading.piece, floor.line_of(reading.piece).places
    if reading.place is None and len(places) > 1:
        yield "place", "", f"one of its places: {', '.join(places)}"
    elif reading.place is not None and reading.place not in places:
        yield "place", reading.place, f"a place of the piece: {', '.join(places)}"
    else:
        yield from _wrong_inks(shop, reading)
    if reading.at < piece.opened:
        yield "at", reading.at.isoformat(), f"a moment since the piece was opened, {piece.opened.isoformat()}"


def _wrong_inks(shop: Shop, reading: InkReading) -> Iterator[Wrong]:
    for ink, ml in reading.ml.items():
        if not 0 <= ml <= PRINT_ML_MAX:
            yield ink, str(ml), f"0 to {PRINT_ML_MAX} ml, which is more than any print takes"
        elif ml and not _prints_of(shop, reading.piece, reading.place, ink):
            yield ink, str(ml), f"no {ink} ink: the piece has no such print"


def _prints_of(shop: Shop, piece: Piece, place: str | None, ink: InkName) -> list[int]:
    """The steps of a piece that lay down an ink at a place, as indexes in its route."""
    there = [(n, step) for n, step in enumerate(piece.route) if place is None or step.place in {place, ""}]
    return [n for n, step in there if lays_down(shop, step) == ink]


def lays_down(shop: Shop, step: Step) -> InkName | None:
    """The ink that a step lays down: what it was ordered with, or else what the shop file says of such steps."""
    table = shop.file.steps.get(step.key)
    ordered = [ink for ink in INKS if step.uses.ink_ml(ink)]
    return ordered[0] if ordered else table.lays_down if table else None


def facts_of(shop: Shop, reading: InkReading, source: str = "", read_id: str | None = None) -> Iterator[Fact]:
    """A reading that nothing is wrong with, as facts.

    Where one print is made in several steps of the same ink, they share it as they share the estimate.
    """
    for ink, ml in reading.ml.items():
        steps = _prints_of(shop, reading.piece, reading.place, ink)
        estimates = [reading.piece.route[step].uses.ink_ml(ink) for step in steps]
        shares = rounded_parts(estimates if any(estimates) else [Decimal(1)] * len(steps), DROP_ML, ml) if steps else []
        for step, share in zip(steps, shares, strict=True):
            yield Fact(
                event=InkRead(piece=reading.piece.code, step=step, ink=ink, ml=share, source=source),
                occurred_at=reading.at,
                read_id=f"{read_id} {step} {ink}" if read_id else None,
            )
