"""What one print of a picture takes: its size, its ink, what that costs; as data.

Never reads a picture.
"""

from collections.abc import Iterable
from decimal import Decimal

from msgspec import Struct

from floor.ink.coverage import Coverage, InkUse, coverage, ink_use
from floor.ink.pixels import Pixels
from floor.ink.underlayer import Garment, underlayer_on
from shared.files.colours import written
from shared.files.inks import Inks
from shared.files.shop import Shop
from shared.money import rounded, rounded_parts
from shared.route import UNCALIBRATED, Factors

_INCH_MM = Decimal("25.4")
_COVERAGE_UNIT = Decimal("0.0001")
_ML_UNIT = Decimal("0.000001")


class Estimate(Struct, frozen=True, kw_only=True):
    """The ink of one print."""

    size_px: tuple[int, int]
    width_mm: Decimal
    height_mm: Decimal
    garment: Garment
    covered: Coverage
    use: InkUse
    factors: Factors

    @property
    def dpi(self) -> int:
        """Pixels of the picture on an inch of the print's width."""
        return int(rounded(self.size_px[0] * _INCH_MM / self.width_mm, Decimal(1)))


def estimated(
    patches: Iterable[Pixels],
    size_px: tuple[int, int],
    size_mm: tuple[Decimal, Decimal],
    garment: Garment,
    inks: Inks,
    factors: Factors = UNCALIBRATED,
) -> Estimate:
    """The ink of a picture's pixels when they fill a rectangle on a garment; sizes as width and height.

    By the factors: what the shop's own readings make of it.
    """
    covered = coverage(patches, underlayer_on(garment, inks.underlayer))
    use = ink_use(covered, inks, *size_mm)
    return Estimate(
        size_px=size_px,
        width_mm=size_mm[0],
        height_mm=size_mm[1],
        garment=garment,
        covered=covered,
        use=InkUse(white_ml=use.white_ml * factors["white"], colour_ml=use.colour_ml * factors["colour"]),
        factors=factors,
    )


def costs(use: InkUse, shop: Shop) -> dict[str, str]:
    """What the ink costs at the shop's prices; the rounded parts add up to the total."""
    exact = (use.white_ml * shop.prices.white_ink_per_ml, use.colour_ml * shop.prices.colour_ink_per_ml)
    white, colour = rounded_parts(exact, shop.unit)
    return {"white_ink": str(white), "colour_ink": str(colour), "total": str(white + colour)}


def answer(estimate: Estimate, shop: Shop) -> dict[str, object]:
    """An estimate as `--json` answers it: millimetres and millilitres as strings, coverage in full laydowns."""
    garment, covered, use = estimate.garment, estimate.covered, estimate.use
    return {
        "pixels": list(estimate.size_px),
        "width_mm": f"{rounded(estimate.width_mm, Decimal('0.01'))}",
        "height_mm": f"{rounded(estimate.height_mm, Decimal('0.01'))}",
        "dpi": estimate.dpi,
        "shade": garment.shade,
        "colour": garment.colour,
        "garment": written(garment.looks),
        "coverage": {
            "white": str(rounded(covered.white, _COVERAGE_UNIT)),
            "colour": str(rounded(covered.colour, _COVERAGE_UNIT)),
        },
        "white_ml": str(rounded(use.white_ml, _ML_UNIT)),
        "colour_ml": str(rounded(use.colour_ml, _ML_UNIT)),
        "factors": {ink: str(factor) for ink, factor in estimate.factors.items()},
        "currency": shop.currency,
        "cost": costs(use, shop),
    }
