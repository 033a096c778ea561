"""A quote as a quotation for the customer: what tickets draws, filled from the lines of an order.

Never draws, and hands no cost over.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from typing import BinaryIO

from floor.cost.quote import line_price
from floor.wording import day, full_moment, money, price
from shared.events import Line
from shared.shop import Shop
from tickets.quotation import Offer, Quotation, quotation
from tickets.stock import SHEETS


def quotation_of(lines: Sequence[Line], customer: str, due: datetime, shop: Shop, now: datetime) -> Quotation:
    """All that stands on a quotation made now."""
    zone, table = shop.hours.zone, shop.file.quotation
    total = sum((line_price(line, shop.unit) for line in lines), Decimal(0))
    facts = [
        ("Date", day(now, zone)),
        ("Valid until", day(now.astimezone(zone) + timedelta(days=table.valid_days), zone)),
        ("Wanted by", full_moment(due, zone)),
        ("Currency", shop.currency),
    ]
    return Quotation(
        shop=shop.name,
        customer=customer,
        facts=facts,
        offers=[_offer(line, shop) for line in lines],
        total=money(total, shop.currency),
        note=table.note,
    )


def write_quotation(quote: Quotation, paper: str, out: BinaryIO) -> None:
    """A quotation as a PDF, on a paper by its name."""
    quotation(quote, SHEETS[paper], out)


def _offer(line: Line, shop: Shop) -> Offer:
    return Offer(
        design=line.design,
        about=[
            f"{line.item}, {line.colour}",
            f"Printed on: {', '.join(line.places)}",
            f"Sizes: {', '.join(f'{size} × {quantity}' for size, quantity in line.sizes.items())}",
        ],
        quantity=f"{line.quantity:,}",
        price_each=price(line.price_each, shop.currency),
        price=money(line_price(line, shop.unit), shop.currency),
    )
