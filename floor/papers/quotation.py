"""A quote as a quotation for the customer, in the shop's language: what tickets draws, filled from an order's lines.

Never draws, and hands no cost over.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from typing import BinaryIO

from floor.core.cost.quote import line_price
from shared.events.jobs import Line
from shared.files.shop import Shop
from shared.wording import day, full_moment, money, price, quantity
from tickets.kit.paper import SHEETS
from tickets.quotation import Offer, Quotation, quotation


def quotation_of(lines: Sequence[Line], customer: str, due: datetime, shop: Shop, now: datetime) -> Quotation:
    """All that stands on a quotation made now."""
    zone, table = shop.hours.zone, shop.file.quotation
    say, locale = shop.words.say, shop.words.language
    total = sum((line_price(line, shop.unit) for line in lines), Decimal(0))
    facts = [
        (say("Date"), day(now, zone, locale)),
        (say("Valid until"), day(now.astimezone(zone) + timedelta(days=table.valid_days), zone, locale)),
        (say("Wanted by"), full_moment(due, zone, locale)),
        (say("Currency"), shop.currency),
    ]
    return Quotation(
        shop=shop.name,
        customer=customer,
        facts=facts,
        offers=[_offer(line, shop) for line in lines],
        total=money(total, shop.currency, locale),
        note=table.note,
    )


def write_quotation(quote: Quotation, shop: Shop, paper: str, out: BinaryIO) -> None:
    """A shop's quotation as a PDF, on a paper by its name."""
    quotation(quote, SHEETS[paper], out, shop.words)


def _offer(line: Line, shop: Shop) -> Offer:
    say, locale = shop.words.say, shop.words.language
    sizes = ", ".join(f"{size} × {pieces}" for size, pieces in line.sizes.items())
    return Offer(
        design=line.design,
        about=[
            f"{line.item}, {line.colour}",
            say("Printed on: {places}", places=", ".join(line.places)),
            say("Sizes: {sizes}", sizes=sizes),
        ],
        quantity=quantity(line.quantity, 0, locale),
        price_each=price(line.price_each, shop.currency, locale),
        price=money(line_price(line, shop.unit), shop.currency, locale),
    )
