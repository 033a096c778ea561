"""The sheet that shows where the ink goes."""

from decimal import Decimal

import pytest
from PIL import Image, ImageDraw

from floor.ink.estimate import answer, estimated
from floor.ink.picture import Picture
from floor.ink.sheet import COLUMN_MIN, GAP, HEAD, MARGIN, PICTURE_MAX, TITLE, sheet
from floor.ink.underlayer import Garment
from shared.files.colours import named
from shared.files.tables import Shade
from tests.floor.ink.drawn import read
from tests.making import shop

SIZE_MM = (Decimal(200), Decimal(200))
SIDE = min(PICTURE_MAX)


def half_white() -> Picture:
    """Clear at the left, white at the right."""
    image = Image.new("RGBA", (100, 100), (0, 0, 0, 0))
    ImageDraw.Draw(image).rectangle((50, 0, 99, 99), fill="white")
    return read(image)


def drawn(
    name: str = "oars.png", shade: Shade = "dark", colour: str = "navy", size_mm: tuple[Decimal, Decimal] = SIZE_MM
) -> Image.Image:
    picture, inks = half_white(), shop().file.inks
    garment = Garment(shade=shade, colour=colour, looks=named(colour, shade))
    got = answer(estimated(picture.patches(), picture.size_px, size_mm, garment, inks), shop())
    return sheet(name, picture, got, garment, inks)


def at(page: Image.Image, panel: int, across: float) -> object:
    """The colour in a panel, half way down."""
    return page.getpixel((MARGIN + panel * (SIDE + GAP) + round(across * SIDE), HEAD + TITLE + SIDE // 2))


def test_where_the_artwork_is_clear_the_garment_shows() -> None:
    assert at(drawn(), 0, 0.2) == named("navy", "dark")


def test_white_lies_under_what_is_white_and_nowhere_else() -> None:
    page = drawn()
    assert at(page, 1, 0.8) == (255, 255, 255)
    assert at(page, 1, 0.2) == (0x23, 0x2B, 0x38)


def test_no_colour_ink_lies_on_white_or_on_nothing() -> None:
    page = drawn()
    assert at(page, 2, 0.2) == at(page, 2, 0.8) == (255, 255, 255)


def test_on_a_light_garment_the_underlayer_is_left_empty() -> None:
    page = drawn(shade="light", colour="white")
    assert at(page, 1, 0.2) == at(page, 1, 0.8) != (255, 255, 255)


@pytest.mark.parametrize(("width", "height"), [(600, 1), (1, 600), (300, 360)])
def test_a_print_of_any_shape_fits_its_panel(width: int, height: int) -> None:
    page = drawn(size_mm=(Decimal(width), Decimal(height)))
    assert page.width <= 2 * MARGIN + 2 * GAP + 3 * max(PICTURE_MAX[0], COLUMN_MIN)
    assert page.height <= HEAD + TITLE + PICTURE_MAX[1] + 250


@pytest.mark.parametrize("name", ["a" * 500, "two\nlines\x1b[31m", "весло.png", "\u202eoars.png", ""])
def test_any_name_stays_on_its_line(name: str) -> None:
    assert drawn(name=name).size == drawn().size
