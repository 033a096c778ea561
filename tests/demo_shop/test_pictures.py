"""The README's pictures come out of the demo."""

from demo_shop.pictures import CELL, COLUMNS, MARGIN, ROWS, telling_moment, traveller_picture, wall_picture
from tests.demo_shop.conftest import Again


def test_the_wall_is_drawn_cell_by_cell_with_its_alarm(again: Again) -> None:
    at, _ = telling_moment(again.outcome)
    picture = wall_picture(again.outcome, at)
    assert picture.size == (COLUMNS * CELL[0] + 2 * MARGIN, ROWS * CELL[1] + 2 * MARGIN)
    colours = {colour: count for count, colour in picture.getcolors(100_000) or () if isinstance(colour, tuple)}
    assert colours[0, 0, 0] > picture.width * picture.height / 2
    assert any(red > 200 and blue < 100 and count > 500 for (red, _, blue), count in colours.items())


def test_the_traveller_is_black_on_white_and_whole(again: Again) -> None:
    picture = traveller_picture(again.outcome)
    assert picture.height > picture.width
    assert picture.getpixel((2, 2)) == 255
