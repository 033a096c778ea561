"""[inks] of a shop file: the full laydown of each ink, and how white goes under colour on dark garments.

Never looks at a picture: floor.ink does.
"""

from decimal import Decimal
from typing import Annotated

from pydantic import BeforeValidator, Field

from shared.files.tables import Amount, Number, Table, as_text
from shared.route import InkName


class Ink(Table):
    """The full laydown of an ink, from the print grid, the drop and the passes, or as measured."""

    dpi: tuple[int, int] = (600, 600)
    drop_pl: Amount = Decimal(21)
    passes: Annotated[int, Field(ge=1, le=20)] = 1
    laydown_ml_per_m2: Amount | None = None
    coverage: Annotated[Decimal, BeforeValidator(as_text), Field(gt=0, le=1)] = Decimal("0.7")
    """The share of a print's rectangle that is inked, where neither the job file nor the artwork tells."""
    tank_ml: Annotated[Decimal, BeforeValidator(as_text), Field(gt=0, le=1_000_000)] = Decimal(20_000)
    """What all its tanks in the shop hold together."""

    def full_ml(self, width_mm: Decimal, height_mm: Decimal) -> Decimal:
        """Millilitres that cover a rectangle wholly: dots per m² × drop volume (1 pl = 1e-9 ml) × passes.

        Of the colour ink, that is one of its four channels at 100 %.
        """
        metres2 = width_mm * height_mm / 1_000_000
        if self.laydown_ml_per_m2 is not None:
            return self.laydown_ml_per_m2 * metres2
        dots_per_m2 = Decimal(self.dpi[0] * self.dpi[1]) / Decimal("0.0254") ** 2
        return dots_per_m2 * self.drop_pl * Decimal("1e-9") * self.passes * metres2


class Underlayer(Table):
    """How much of its full laydown of white goes under a pixel of the artwork, on a dark garment."""

    full_from_l: Annotated[Number, Field(gt=0, le=100)] = 60
    """The lightness of a pixel (CIE L*, 0 to 100) from which it is given all of it; a darker one its share."""
    none_within_levels: Annotated[int, Field(ge=0, le=127)] = 24
    """None under a pixel whose red, green and blue (0 to 255) all lie within so many levels of the garment's own;
    from twice as many on, nothing is taken off."""


class Inks(Table):
    """[inks]"""

    colour: Ink = Ink()
    white: Ink = Ink(passes=2)
    underlayer: Underlayer = Underlayer()

    def of(self, ink: InkName) -> Ink:
        """One ink."""
        return self.white if ink == "white" else self.colour
