"""The account of an ink: what was drawn from its tanks is what was printed and what was lost.

Never spreads a loss over prints: it stays on a line of its own.
"""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from itertools import pairwise

from msgspec import Struct

from floor.core.ink.use import Printed
from floor.core.state.ink_book import InkBook, Told
from shared.route import InkName

NONE = Decimal(0)


class InkAccount(Struct, frozen=True, kw_only=True):
    """Millilitres of an ink in a span of time, exact: drawn = printed + lost.

    `prints` were printed, of which `read` were measured. Lost is None where no level was read in the span, or none
    before it: then nobody knows what was drawn.
    """

    printed_ml: Decimal
    lost_ml: Decimal | None
    prints: int
    read: int

    @property
    def drawn_ml(self) -> Decimal | None:
        """What left the tanks."""
        return None if self.lost_ml is None else self.printed_ml + self.lost_ml


def account(book: InkBook, prints: Sequence[Printed], ink: InkName, start: datetime, end: datetime) -> InkAccount:
    """The account from a moment on and before another.

    What was lost between two levels is level + refills - next level - printed between them, and is known, and
    counted, when the second is read: with levels at both ends of the span, drawn is the first, and the refills, less
    the last. So the accounts of spans that follow on each other add up to that of the whole.
    """
    spans = [(one, other) for one, other in pairwise(book.levels_of(ink)) if start < other.at <= end]
    mine = [each for each in prints if each.ink == ink]
    within = [each for each in mine if start <= each.at < end]
    lost = sum((_drawn(book, ink, *span) - printed_between(mine, span[0].at, span[1].at) for span in spans), NONE)
    return InkAccount(
        printed_ml=printed_between(within, start, end),
        lost_ml=lost if spans else None,
        prints=len(within),
        read=sum(each.measured for each in within),
    )


def _drawn(book: InkBook, ink: InkName, one: Told, other: Told) -> Decimal:
    return one.amount + refilled_between(book, ink, one.at, other.at) - other.amount


def refilled_between(book: InkBook, ink: InkName, start: datetime, end: datetime) -> Decimal:
    """What was filled in from a moment on and before another."""
    return sum((each.amount for each in book.refilled(ink) if start <= each.at < end), NONE)


def printed_between(prints: Sequence[Printed], start: datetime, end: datetime) -> Decimal:
    """What prints took from a moment on and before another."""
    return sum((each.ml for each in prints if start <= each.at < end), NONE)
