"""What is behind a figure, as text for a terminal or a pipe.

Never computes: all of it stands in the explanation.
"""

from collections.abc import Sequence
from decimal import Decimal

from rich.console import Group, RenderableType
from rich.text import Text

from floor.core.figures.explain import Explanation, Reason
from floor.core.figures.headline import ELEMENT_WORDS, HOURLY
from floor.reports.terminal import LEGEND, variances
from floor.words.columns import BOLD, TextColumn, figures, table, words
from shared import wording
from shared.files.shop import Shop
from shared.harmless import harmless
from shared.money import minor_unit, rounded
from shared.wording import HOUR_S, NO_FIGURE

ROWS_MAX = 40
"""More are told as one sum; `--json` tells them all."""
UNITS = {"pretreat": "g", "white_ink": "ml", "colour_ink": "ml"}


def explanation_text(found: Explanation, shop: Shop, width: int) -> RenderableType:
    """The figure, and a row for each piece and step behind it."""
    if not found.reasons:
        return Text(harmless(f"{_title(found)}. Nothing of it was quoted, and nothing used."))
    shown, more = found.reasons[:ROWS_MAX], found.reasons[ROWS_MAX:]
    return Group(
        Text(harmless(_title(found)), BOLD),
        _rows(found, shown, shop, width),
        *([Text(_more(found, more))] if more else []),
        Text(LEGEND),
    )


def _title(found: Explanation) -> str:
    span = f"in week {found.week}" if found.week else "in all"
    amounts = found.quoted, found.actual, found.difference
    quoted, actual, more = (wording.money(amount, found.currency) for amount in amounts)
    return f"{found.job}, {ELEMENT_WORDS[found.element]} {span}: quoted {quoted}, actual {actual}, difference {more}"


def _more(found: Explanation, more: Sequence[Reason]) -> str:
    rest = sum((each.difference for each in more), Decimal(0))
    return f"{len(more)} smaller ones come to {wording.money(rest, found.currency)}; see them all with --json."


def _rows(found: Explanation, reasons: Sequence[Reason], shop: Shop, width: int) -> RenderableType:
    currency = found.currency
    columns = [
        words("of", (each.what for each in reasons)),
        variances("difference", [each.difference for each in reasons], currency),
        words("because of", (each.cause for each in reasons)),
        words("at", (each.station or NO_FIGURE for each in reasons)),
        words("by", (each.badge or NO_FIGURE for each in reasons)),
        words("when", (_when(each, shop) for each in reasons)),
        figures("scan\nrow", (each.row or NO_FIGURE for each in reasons)),
        *_quantities(found, reasons),
        figures("price\nquoted", (_price(each.price_quoted, currency) for each in reasons)),
        figures("\nactual", (_price(each.price, currency) for each in reasons)),
        variances("by price", [each.by_price for each in reasons], currency),
        variances("by quantity", [each.by_quantity for each in reasons], currency),
    ]
    return table(words("piece", (each.piece or found.job for each in reasons)), columns, width)


def _quantities(found: Explanation, reasons: Sequence[Reason]) -> list[TextColumn]:
    unit = UNITS.get(found.element)
    return [
        figures(
            f"quantity{f', {unit}' if unit else ''}\nquoted",
            (_quantity(found, each.quantity_quoted) for each in reasons),
        ),
        figures("\nactual", (_quantity(found, each.quantity) for each in reasons)),
    ]


def _quantity(found: Explanation, quantity: Decimal) -> str:
    if found.element in HOURLY:
        return wording.working_time(float(quantity * HOUR_S))
    return wording.quantity(quantity, 3 if found.element in UNITS else 2)


def _price(price: Decimal | None, currency: str) -> str:
    return NO_FIGURE if price is None else wording.price(rounded(price, minor_unit(currency) / 100), currency)


def _when(reason: Reason, shop: Shop) -> str:
    return wording.day_and_time(reason.at, shop.hours.zone) if reason.at else NO_FIGURE
