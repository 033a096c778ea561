"""[[breaks]] and [quotation] of a shop file: what many pieces of a line are charged, and what a quotation says.

Never knows a cost: floor.core.cost does.
"""

from collections.abc import Iterable
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from shared.files.problems import refuse
from shared.files.tables import Amount, Share, Table

Margin = Annotated[Share, Field(decimal_places=4)]
"""A share of the price. With more digits it could come so near to 1 that no price has room for it."""


class PriceBreak(Table):
    """[[breaks]]: from so many pieces of a line on, a share off its price, or a price for an item."""

    from_pieces: Annotated[int, Field(ge=1, le=1_000_000)]
    item: str | None = None
    """Left out, it is for every item."""
    off: Share | None = None
    price_each: Annotated[Amount | None, Field(validate_default=True)] = None

    @field_validator("price_each")
    @classmethod
    def _one_of_the_two(cls, price: Decimal | None, info: ValidationInfo) -> Decimal | None:
        if "off" in info.data and (price is None) == (info.data["off"] is None):
            raise refuse(allowed="either off or price_each", do={"off": "0.05"})
        if price is not None and info.data.get("item") is None:
            raise refuse(allowed="a price for one item: name it too", do={"item": "heavy tee"})
        return price


class QuotationTable(Table):
    """[quotation]"""

    valid_days: Annotated[int, Field(ge=1, le=3_650)] = 30
    note: Annotated[str, Field(max_length=1_000)] = ""
    """What stands beneath the sum: taxes, terms of payment, the shop's address."""
    paper: Literal["a4", "letter"] = "a4"


def break_for(breaks: Iterable[PriceBreak], item: str, quantity: int) -> PriceBreak | None:
    """The break that a line has reached: one for its item before one for all, then the one with the most pieces."""
    reached = [each for each in breaks if each.item in {None, item} and each.from_pieces <= quantity]
    return max(reached, key=lambda each: (each.item is not None, each.from_pieces), default=None)
