"""The account of a job: what its pieces cost that left the floor, each held against its own quote.

Never rounds: what is shown is rounded where it is shown.
"""

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import NamedTuple

from msgspec import Struct

from floor.core.cost.actual import Costs, quoted, spoilage
from floor.core.cost.variance import NO_CHARGES, Difference, Sum, Sums, difference, differences, sums_of
from floor.core.state.piece import Piece
from shared.money import ChargeKind, Loss


class Entry(NamedTuple):
    """Charges of one kind, of a piece against its quote, or of the job."""

    piece: Piece | None
    difference: Difference

    @property
    def step(self) -> int | None:
        """The index of the step that they belong to; None where they belong to none."""
        kind = self.difference.kind
        if self.piece is None or not kind.step:
            return None
        places = ((step.key, step.place) for step in self.piece.route)
        return next((n for n, place in enumerate(places) if place == (kind.step, kind.place)), None)


class Lost(NamedTuple):
    """A piece that nobody pays for, and all that had gone into it."""

    piece: Piece
    cost: Decimal


class Account(Struct, frozen=True, kw_only=True):
    """Good pieces, spoiled ones, and pieces that were given up with work in them.

    The entries add up to the actual cost less the quote of the good pieces. Spoilage up to the allowance that was
    quoted with the whole job is normal, and in the entries; what is above it is abnormal, and a line of its own. So are
    pieces that were given up.
    """

    good: Sequence[Piece]
    spoiled: Sequence[Lost]
    given_up: Sequence[Lost]
    entries: Sequence[Entry]
    abnormal: Decimal

    @property
    def given_up_cost(self) -> Decimal:
        """All that had gone into pieces that were given up."""
        return _sum(self.given_up)


def _sum(lost: Iterable[Lost]) -> Decimal:
    return sum((each.cost for each in lost), Decimal(0))


def account(costs: Costs, pieces: Sequence[Piece], before: Iterable[Piece] = ()) -> Account:
    """The account of pieces of one job; of those that are open nothing is told.

    `before` are the pieces of it that were spoiled in an earlier week: they used up some of the allowance.
    """
    by_state: dict[str, list[Piece]] = {"finished": [], "spoiled": [], "cancelled": [], "open": []}
    for piece in pieces:
        by_state[piece.state].append(piece)
    good = by_state["finished"]
    spoiled, given_up = ([_lost(costs, piece) for piece in by_state[state]] for state in ("spoiled", "cancelled"))
    entries = list(_against_quotes(costs, good))
    allowed = max(_allowance(costs, pieces) - _sum(_lost(costs, piece) for piece in before), Decimal(0))
    abnormal = max(_sum(spoiled) - allowed, Decimal(0))
    return Account(
        good=good,
        spoiled=spoiled,
        given_up=[each for each in given_up if each.cost],
        entries=[*entries, *_spoilage(spoiled, abnormal)],
        abnormal=abnormal,
    )


def _lost(costs: Costs, piece: Piece) -> Lost:
    return Lost(piece, spoilage(costs.of(piece)).amount)


def _against_quotes(costs: Costs, good: Iterable[Piece]) -> Iterator[Entry]:
    quotes: dict[tuple[int, str], Sums] = {}
    for piece in good:
        quote = quotes.get((piece.line, piece.size))
        if quote is None:
            charges = quoted(costs.floor, piece)
            quote = quotes[piece.line, piece.size] = sums_of((charge, 1) for charge in charges)
        for each in differences(sums_of((charge, 1) for charge in costs.of(piece)), quote):
            yield Entry(piece, each)


def _allowance(costs: Costs, pieces: Sequence[Piece]) -> Decimal:
    """The allowance for spoilage that was quoted with the whole job that the pieces are of."""
    lines = costs.floor.jobs[pieces[0].job].lines if pieces else ()
    return sum(
        (
            charge.amount * quantity
            for line in lines
            for size, quantity in line.sizes.items()
            for charge in line.quoted[size]
            if charge.loss == "allowance"
        ),
        Decimal(0),
    )


def _spoilage(spoiled: Iterable[Lost], abnormal: Decimal) -> Iterator[Entry]:
    for piece, cost in spoiled:
        yield Entry(piece, _lump("spoiled piece", cost))
    if abnormal:
        yield Entry(None, _lump("beyond the allowance", -abnormal))


def _lump(loss: Loss, amount: Decimal) -> Difference:
    return difference(ChargeKind("spoilage", loss=loss), Sum(Decimal(1), amount, amount), NO_CHARGES)
