"""`ink estimate`: the ink that a picture takes.

Never reckons: floor.ink does.
"""

import sys
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from msgspec import Struct

from floor.cli.choices import OneOf, no_such
from floor.cli.completing import item_names
from floor.cli.opening import Folder, pass_folder
from floor.cli.tables import ink_text, out
from floor.cli.trouble import NotDone, answers, say_json
from shared.files.colours import Rgb, named, rgb
from shared.files.shop import Shop
from shared.files.shopfile import PRINT_MAX_MM, Item
from shared.files.tables import Shade

if TYPE_CHECKING:
    from PIL.Image import Image

    from floor.ink.underlayer import Garment

LEAST_MM = 1
"""Nobody prints less."""


class InkWishes(Struct, frozen=True, kw_only=True):
    """What was asked of `ink estimate`."""

    file: str
    width_mm: float
    height_mm: float | None
    shade: Shade | None
    colour: str | None
    item: str | None
    sheet: str | None


@click.command()
@click.argument("file", type=click.Path(allow_dash=True))
@click.option("--width-mm", type=float, required=True, help="How wide it is printed.")
@click.option("--height-mm", type=float, help="How high; left out, it keeps its proportions.")
@click.option("--shade", type=OneOf(["light", "dark"]), help="The garment's; left out, by item and colour.")
@click.option("--colour", help="The garment's, by name or as #rrggbb; left out, white or black.")
@click.option("--item", metavar="NAME", shell_complete=item_names, help="The garment, from the shop file.")
@click.option("--picture", "sheet", metavar="FILE", help="A PNG to draw: the artwork, and where each ink goes.")
@pass_folder
@answers
def estimate(folder: Folder, /, as_json: bool, **asked: Any) -> None:
    """The ink that a picture FILE takes when it is printed, and what it costs."""
    from floor.ink.estimate import answer, estimated
    from floor.ink.picture import read_picture

    shop, wishes = folder.shop, InkWishes(**asked)
    item = _item(shop, wishes.item)
    garment = _garment(item, wishes)
    picture = read_picture(_artwork(wishes.file))
    size_mm = _size_mm(wishes, item.print_max_mm if item else PRINT_MAX_MM, picture.size_px)
    factors = folder.floor().supplies.ink.factors_at(folder.clock.now())
    found = answer(estimated(picture.patches(), picture.size_px, size_mm, garment, shop.file.inks, factors), shop)
    name = "standard input" if wishes.file == "-" else Path(wishes.file).name
    if wishes.sheet:
        from floor.ink.sheet import sheet

        _draw(Path(wishes.sheet), wishes.file, sheet(name, picture, found, garment, shop.file.inks))
    if as_json:
        say_json({"file": wishes.file, **found, "picture": wishes.sheet})
    else:
        out(ink_text(name, found))


def _artwork(file: str) -> Path | BytesIO:
    """Where the picture is read from. Raises NotDone where there is none."""
    if file == "-":
        return BytesIO(sys.stdin.buffer.read())
    if not Path(file).exists():
        raise NotDone(f"There is no file {file}", found=file, allowed="a picture", do="Check the name and the folder.")
    return Path(file)


def _item(shop: Shop, name: str | None) -> Item | None:
    if name is None or name in shop.file.items:
        return shop.file.items.get(name or "")
    raise no_such("item", name, shop.file.items)


def _garment(item: Item | None, wishes: InkWishes) -> "Garment":
    from floor.ink.underlayer import Garment

    shades = item.shades if item else {}
    if item and wishes.colour is not None and wishes.colour not in shades:
        raise no_such(f"{wishes.item} in the colour", wishes.colour, shades, see=f"It has: {', '.join(shades)}.")
    shade = wishes.shade or shades.get(wishes.colour or "")
    if shade is None:
        raise click.UsageError("Light or dark? Say --shade, or name an --item and its --colour.")
    plain = "black" if shade == "dark" else "white"
    return Garment(shade=shade, colour=wishes.colour or plain, looks=_looks(item, wishes.colour or plain, shade))


def _looks(item: Item | None, colour: str, shade: Shade) -> Rgb:
    if item and colour in item.shades:
        return item.looks(colour)
    return rgb(colour) if colour.startswith("#") else named(colour, shade)


def _size_mm(wishes: InkWishes, most: tuple[Decimal, Decimal], size_px: tuple[int, int]) -> tuple[Decimal, Decimal]:
    width = _length("wide", wishes.width_mm, most[0])
    if wishes.height_mm is not None:
        return width, _length("high", wishes.height_mm, most[1])
    height = width * size_px[1] / size_px[0]
    _length("high", float(height), most[1])
    return width, height


def _length(way: str, length_mm: float, most: Decimal) -> Decimal:
    if LEAST_MM <= length_mm <= most:
        return Decimal(repr(length_mm))
    raise NotDone(
        f"No print is {length_mm:g} mm {way}",
        found=f"{length_mm:g}",
        allowed=f"{LEAST_MM} to {most} mm",
        do=f"Say {LEAST_MM} to {most} mm; an --item of the shop file may have another print_max_mm.",
    )


def _draw(file: Path, artwork: str, drawn: "Image") -> None:
    if artwork != "-" and file.exists() and file.samefile(artwork):
        raise NotDone(f"{file} is the artwork itself", do="Nothing was changed. Name another file with --picture.")
    png = BytesIO()
    drawn.save(png, "PNG")
    try:
        file.write_bytes(png.getvalue())
    except OSError as error:
        raise NotDone(f"{file} cannot be written: {error.strerror}", do="Name another file with --picture.") from None
