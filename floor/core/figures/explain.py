"""What is behind a figure of a report: the pieces, the steps and the scans that it comes from.

Never says less than the figure: all rows add up to it, as they are shown.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

from msgspec import Struct

from floor.core.cost.account import Account, Entry
from floor.core.cost.cause import price_cause, quantity_cause, share_of, step_time
from floor.core.cost.variance import Sum, Variance, parts_of
from floor.core.figures.data import JobWeek
from floor.core.times.cycle import Walks
from floor.core.times.share import Basis, Why
from shared.money import Element


class Reason(Struct, frozen=True, kw_only=True):
    """One row behind a figure: what was used against what was quoted, in money as shown, and the scan that says so.

    `quantity` is in hours, grams, millilitres or pieces. A price is None where nothing was used, or nothing quoted.
    """

    piece: str | None
    what: str
    station: str | None
    badge: str | None
    at: datetime | None
    row: int | None
    """Its number in the ledger."""
    basis: Basis | None
    """What a time stands on; None of what is no time."""
    why: Why
    """Why the standard stands in."""
    cause: str
    """Of the larger of the two differences."""
    quantity_quoted: Decimal
    quantity: Decimal
    price_quoted: Decimal | None
    price: Decimal | None
    by_price: Decimal
    by_quantity: Decimal

    @property
    def difference(self) -> Decimal:
        """Above zero it cost more than quoted."""
        return self.by_price + self.by_quantity


class Explanation(Struct, frozen=True, kw_only=True):
    """A figure, and the rows that add up to it, the largest first; what cost what it was quoted at is left out."""

    job: str
    element: Element
    week: str | None
    """None is all that the job did."""
    currency: str
    quoted: Decimal
    actual: Decimal
    variance: Variance
    reasons: Sequence[Reason]

    @property
    def difference(self) -> Decimal:
        """What the rows add up to."""
        return self.variance.price + self.variance.quantity


def explanation(
    walks: Walks, account: Account, told: JobWeek, element: Element, week: str | None, currency: str, unit: Decimal
) -> Explanation:
    """What is behind one element of a job as it was told, from the account that it was told from."""
    variance = told.variance[element]
    return Explanation(
        job=told.job,
        element=element,
        week=week,
        currency=currency,
        quoted=told.quoted[element],
        actual=told.actual[element],
        variance=variance,
        reasons=_reasons(walks, _of(account.entries, element), variance, unit),
    )


def _of(entries: Iterable[Entry], element: Element) -> list[Entry]:
    """The entries of an element that differ; all where none does, for a figure may differ by what is rounded."""
    its = [entry for entry in entries if entry.difference.kind.element == element]
    return [entry for entry in its if entry.difference.total or entry.difference.price] or its


def _reasons(walks: Walks, entries: Sequence[Entry], variance: Variance, unit: Decimal) -> list[Reason]:
    by_price = parts_of(variance.price, [entry.difference.price for entry in entries], unit)
    by_quantity = parts_of(variance.quantity, [entry.difference.quantity for entry in entries], unit)
    found = [_reason(walks, *each) for each in zip(entries, by_price, by_quantity, strict=True)]
    return sorted(found, key=lambda each: (-abs(each.difference), each.piece or "", each.what))


def _reason(walks: Walks, entry: Entry, by_price: Decimal, by_quantity: Decimal) -> Reason:
    difference, scan = entry.difference, _scan(entry)
    share = share_of(step_time(walks, entry), difference.kind.element)
    by_rate = abs(difference.price) > abs(difference.quantity)
    return Reason(
        piece=entry.piece.code if entry.piece else None,
        what=difference.kind.what,
        station=scan.station if scan else None,
        badge=scan.badge if scan else None,
        at=scan.at if scan else None,
        row=scan.row if scan else None,
        basis=share.basis if share else None,
        why=share.why if share else "",
        cause=price_cause(entry) if by_rate else quantity_cause(walks, entry),
        quantity_quoted=difference.standard.quantity,
        quantity=difference.actual.quantity,
        price_quoted=_price(difference.standard),
        price=_price(difference.actual),
        by_price=by_price,
        by_quantity=by_quantity,
    )


def _price(sum: Sum) -> Decimal | None:
    return sum.mean_price if sum.quantity else None


class _Scan(NamedTuple):
    at: datetime
    row: int
    station: str | None
    badge: str | None


def _scan(entry: Entry) -> _Scan | None:
    """What ended a step, or began it; of a blank the first that was seen of its piece, of spoilage the spoiling."""
    piece, element = entry.piece, entry.difference.kind.element
    if piece is None:
        return None
    if element == "spoilage" and piece.spoiled:
        return _Scan(piece.spoiled.at, piece.spoiled.seq, piece.spoiled.station, None)
    rows = piece.facts[:1] if element == "garment" else reversed(piece.facts)
    step = entry.step
    found = next((row for row in rows if element == "garment" or row.event.step == step), None)  # type: ignore[attr-defined]
    return _Scan(found.occurred_at, found.seq, found.station, found.badge) if found else None
