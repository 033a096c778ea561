"""[ink_import] of a shop file: which columns of a printer's log hold the piece, its ink and the moment.

Never reads a log: floor.core.ink.imported does.
"""

from collections.abc import Iterator
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from shared.files.tables import Name, Table
from shared.route import InkName

# ruff: noqa: RUF012 - a default that can change is copied by pydantic for each table

Unit = Literal["ul", "ml", "cl", "l"]
ML: dict[Unit, Decimal] = {"ul": Decimal("0.001"), "ml": Decimal(1), "cl": Decimal(10), "l": Decimal(1000)}
"""Millilitres in one of each."""


def _a_list(value: object) -> object:
    return [value] if isinstance(value, str) else value


Columns = Annotated[list[Name], BeforeValidator(_a_list), Field(min_length=1, max_length=20)]


class InkImport(Table):
    """[ink_import]: columns by their names in the first line; a list of columns is added up, as of four colours."""

    piece: Name = "piece"
    """The piece's code, or a text with the code in it, such as the name that the print had."""
    white_ml: Columns = ["white_ml"]
    colour_ml: Columns = ["colour_ml"]
    unit: Unit = "ml"
    place: Name = "place"
    at: Name = "at"
    at_format: Annotated[str, Field(min_length=1, max_length=60)] | None = None
    """How moments are written, "%d.%m.%Y %H:%M" (Python's strptime); left out, as in 2026-11-25T14:30."""

    def ink(self, ink: InkName) -> list[str]:
        """The columns of an ink."""
        return self.white_ml if ink == "white" else self.colour_ml

    def named(self) -> Iterator[str]:
        """The columns that a log must have: the piece, and all that the shop file names itself."""
        yield self.piece
        for key in self.model_fields_set & {"white_ml", "colour_ml", "place", "at"}:
            columns = getattr(self, key)
            yield from columns if isinstance(columns, list) else [columns]
