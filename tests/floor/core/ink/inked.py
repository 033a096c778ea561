"""Prints for tests of ink: pieces that were walked past the printer, and what is told of their ink."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from random import Random
from typing import Any

from floor.core.ink.readings import InkReading, facts_of
from shared.events.base import Event
from shared.events.recorded import Fact
from shared.events.supplies import InkLevelRead, InkRefilled
from shared.route import InkName
from tests.making import DARK_WALK, Play, walk

WHITE_STEP, COLOUR_STEP = 1, 3
"""Where they stand in the route of a dark garment."""


def ml(text: str) -> Decimal:
    return Decimal(text)


def printed_pieces(play: Play, n: int, **wishes: Any) -> list[str]:
    """Pieces of a dark garment, walked as far as their colour."""
    pieces = play.job(sizes={"M": n}, **wishes)
    for piece in pieces:
        walk(play, piece, DARK_WALK[:4])
    return pieces


def read(play: Play, piece: str, place: str | None = None, at: datetime | None = None, **told: str | Decimal) -> None:
    """A reading, now: white="2.4", colour="1.1"."""
    inks: dict[Any, Decimal] = {ink: Decimal(amount) for ink, amount in told.items()}
    reading = InkReading(piece=play.piece(piece), place=place, ml=inks, at=at or play.now)
    play.record(facts_of(play.shop, reading))


def tell(play: Play, event: Event, after: timedelta = timedelta(seconds=1)) -> datetime:
    """Something else that happens to ink, a second later; when it was."""
    play.now += after
    play.record([Fact(event=event, occurred_at=play.now)])
    return play.now


def level(play: Play, amount: str, ink: InkName = "white") -> datetime:
    return tell(play, InkLevelRead(ink=ink, ml=Decimal(amount)))


def refilled(play: Play, amount: str, ink: InkName = "white") -> datetime:
    return tell(play, InkRefilled(ink=ink, ml=Decimal(amount)))


def noisy(random: Random, factor: float, n: int, wild: Sequence[float]) -> list[float]:
    """Ratios of reading to estimate: n of which some are wild, the others 5 % off, more or less."""
    ratios = [factor * random.lognormvariate(0, 0.05) for _ in range(n - len(wild))] + [factor * each for each in wild]
    random.shuffle(ratios)
    return ratios
