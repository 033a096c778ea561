"""A job file: what a customer orders, as it is written down; checked against the shop.

Never prices it: that is floor.core.cost.
"""

from collections.abc import Iterator, Mapping
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Annotated, Any
from zoneinfo import ZoneInfo

from pydantic import AfterValidator, BeforeValidator, Field

from shared.files.inks import Inks
from shared.files.near import nearest
from shared.files.pricing import break_for
from shared.files.problems import Problem, checked, read_toml, refuse
from shared.files.shop import PrintInk, Shop
from shared.files.tables import Amount, Millimetres, Name, PrintMl, Shade, Table, as_text
from shared.files.tomltext import shown_text
from shared.hours import in_utc
from shared.route import INKS, UNCALIBRATED, Factors, InkName, Route

PIECES_MAX = 5_000
"""Pieces of one job; more is a slip of the pen, or should be several jobs."""
YEARS = range(2000, 2200)
"""When a job may be due; other years are slips of the pen, and the ends of the calendar are no moment everywhere."""

PROMISED = {"due": datetime(2026, 12, 2, 16)}  # noqa: DTZ001 - as TOML gives it
"""What to write where it is no moment."""


class Print(Table):
    """[[lines.prints]]: one placement of a design, its size, and its ink where it is known."""

    place: Name = "front"
    artwork: str | None = None
    width_mm: Millimetres
    height_mm: Millimetres
    white_ml: PrintMl | None = None
    colour_ml: PrintMl | None = None
    """Left out, the artwork tells; without artwork, the coverage."""
    coverage: Annotated[Decimal, BeforeValidator(as_text), Field(gt=0, le=1)] | None = None
    """The share of the rectangle that is inked; given, it goes before the artwork; left out, the shop's standard."""

    def told_ml(self, ink: InkName) -> Decimal | None:
        """The millilitres of an ink that the job file gives."""
        return self.white_ml if ink == "white" else self.colour_ml

    def estimated_ml(self, ink: InkName, inks: Inks) -> Decimal:
        """The millilitres of an ink by its laydown and the print's coverage, or else the shop's."""
        table = inks.of(ink)
        return table.full_ml(self.width_mm, self.height_mm) * (self.coverage or table.coverage)


class PicturedPrint(Print):
    """A print whose ink its picture has told: no key of a file, floor.ink.filling makes it."""

    by_picture_ml: Mapping[InkName, Decimal]

    def estimated_ml(self, ink: InkName, inks: Inks) -> Decimal:
        """The millilitres of an ink by the picture."""
        return self.by_picture_ml[ink]


class JobLine(Table):
    """[[lines]]: one design on one item in one colour."""

    design: Name
    item: str
    colour: str
    sizes: Annotated[dict[Name, Annotated[int, Field(ge=1, le=PIECES_MAX)]], Field(min_length=1)]
    price_each: Amount | None = None
    """Left out, the shop file's margin and breaks make the price."""
    prints: Annotated[list[Print], Field(min_length=1)]

    @property
    def quantity(self) -> int:
        """Pieces ordered on this line."""
        return sum(self.sizes.values())


def _a_moment(value: Any) -> Any:
    """A day alone would leave open which hour of it was promised, and a number is no moment."""
    if not isinstance(value, datetime | str):
        raise refuse(allowed="a date with a time", do=PROMISED)
    return value


def _of_our_time(due: datetime) -> datetime:
    if due.year not in YEARS:
        raise refuse(allowed=f"a year from {YEARS[0]} to {YEARS[-1]}", do=PROMISED)
    return due


class JobFile(Table):
    """A whole job file."""

    customer: Name
    due: Annotated[datetime, BeforeValidator(_a_moment), AfterValidator(_of_our_time)]
    lines: Annotated[list[JobLine], Field(min_length=1, max_length=500)]

    def due_in(self, zone: str) -> datetime:
        """When it is due, UTC; a time without an offset is the shop's own."""
        return in_utc(self.due, ZoneInfo(zone))


def shade_of(line: JobLine, shop: Shop) -> Shade:
    """Whether the line's colour counts as light or dark."""
    return shop.item(line.item).shades[line.colour]


def route_of(line: JobLine, shop: Shop, factors: Factors = UNCALIBRATED) -> Route:
    """The route of each piece of a line, its estimates of ink corrected by the factors."""
    return shop.route(line.item, shade_of(line, shop), [_ink(each, shop.file.inks, factors) for each in line.prints])


def _ink(each: Print, inks: Inks, factors: Factors) -> PrintInk:
    told = {ink: each.told_ml(ink) for ink in INKS}
    estimates: dict[str, Decimal] = {ink: each.estimated_ml(ink, inks) for ink, ml in told.items() if ml is None}
    ml = {ink: estimates[ink] * factors[ink] if known is None else known for ink, known in told.items()}
    return PrintInk(place=each.place, white_ml=ml["white"], colour_ml=ml["colour"], estimates=estimates)


def parse_job(data: dict[str, Any], shop: Shop, folder: Path | None = None, file: str = "job file") -> JobFile:
    """A checked job file from its TOML data; `folder` is where its pictures are looked for.

    Raises ProblemsFound with every problem of the file.
    """

    def between(job: JobFile) -> Iterator[Problem]:
        yield from _problems(job, shop, file)
        yield from _missing_pictures(job, folder, file)

    return checked(data, file, JobFile, between)


def load_job(path: Path, shop: Shop) -> JobFile:
    """A checked job file. Raises ProblemsFound."""
    return parse_job(read_toml(path), shop, path.parent, path.name)


def _problems(job: JobFile, shop: Shop, file: str) -> Iterator[Problem]:
    if (pieces := sum(line.quantity for line in job.lines)) > PIECES_MAX:
        yield Problem(
            where=f"{file}: lines",
            found=f"{pieces} pieces",
            allowed=f"at most {PIECES_MAX} in one job",
            do="Make several jobs of it",
        )
    for n, line in enumerate(job.lines):
        where = f"{file}: lines[{n}]"
        if line.item not in shop.file.items:
            yield _unknown(f"{where}.item", line.item, list(shop.file.items), "an item of the shop file")
        elif line.colour not in shop.item(line.item).shades:
            colours = list(shop.item(line.item).shades)
            yield _unknown(f"{where}.colour", line.colour, colours, f'a colour of "{line.item}"')
        else:
            yield from _too_large(line, shop, where)
            yield from _unknown_sizes(line, shop, where)
        if line.price_each is None and not _has_price(line, shop):
            yield Problem(
                where=f"{where}.price_each",
                found="nothing",
                allowed="a price, or a margin in the shop file that makes one",
                do='Write: price_each = "21.50", or in [prices] of the shop file: margin = "0.55"',
            )
        places = [each.place for each in line.prints]
        if len(set(places)) < len(places):
            yield Problem(
                where=f"{where}.prints",
                found=", ".join(places),
                allowed="each place once",
                do="Give every print a place of its own: front, back, left sleeve …",
            )


def _too_large(line: JobLine, shop: Shop, where: str) -> Iterator[Problem]:
    for m, each in enumerate(line.prints):
        for key, most in zip(("width_mm", "height_mm"), shop.item(line.item).print_max_mm, strict=True):
            if getattr(each, key) > most:
                yield Problem(
                    where=f"{where}.prints[{m}].{key}",
                    found=f"{getattr(each, key)}",
                    allowed=f'at most {most} mm on "{line.item}"',
                    do="Write its millimetres, or set print_max_mm of the item",
                )


def _unknown_sizes(line: JobLine, shop: Shop, where: str) -> Iterator[Problem]:
    """Sizes that the item does not come in; where it lists none, those that look like a size with a cost of its own."""
    item = shop.item(line.item)
    known = item.sizes or list(item.size_cost)
    for size in line.sizes:
        if size not in known and (item.sizes or _alike(size, known)):
            yield _unknown(f"{where}.sizes", size, known, f'a size of "{line.item}"')


def _alike(name: str, known: list[str]) -> list[str]:
    """The names that differ from it in case and white space alone."""
    return [each for each in known if each.strip().casefold() == name.strip().casefold()]


def base_cost_notes(job: JobFile, shop: Shop) -> Iterator[str]:
    """What to tell of sizes that may be wrong: the item has dearer ones, and does not list what it comes in."""
    for name in dict.fromkeys(line.item for line in job.lines):
        item = shop.item(name)
        sizes = dict.fromkeys(size for line in job.lines if line.item == name for size in line.sizes)
        plain = [size for size in sizes if size not in item.size_cost]
        if plain and item.size_cost and not item.sizes:
            named = ", ".join(map(shown_text, plain))
            yield f"{shown_text(name)} lists no sizes in the shop file: taken at its cost, {item.cost}, are {named}."


def _has_price(line: JobLine, shop: Shop) -> bool:
    reached = break_for(shop.file.breaks, line.item, line.quantity)
    return shop.prices.margin is not None or (reached is not None and reached.price_each is not None)


def _unknown(where: str, name: str, known: list[str], kind: str) -> Problem:
    near = nearest(name, known)
    do = f'Write: "{near}"' if near else "Use one of those, or add it to the shop file"
    return Problem(where=where, found=shown_text(name), allowed=f"{kind}: {', '.join(known)}", do=do)


def _lies_in(folder: Path, name: str) -> bool:
    """A job file comes from somebody else: it must not reach for what it was not sent with, by links neither."""
    try:
        return (folder / name).resolve().is_relative_to(folder.resolve())
    except (OSError, RuntimeError, ValueError):  # links in a circle, a NUL in the name
        return False


def _missing_pictures(job: JobFile, folder: Path | None, file: str) -> Iterator[Problem]:
    for n, line in enumerate(job.lines):
        for m, each in enumerate(line.prints):
            where = f"{file}: lines[{n}].prints[{m}].artwork"
            if folder and each.artwork and not _lies_in(folder, each.artwork):
                yield Problem(
                    where=where,
                    found=f"{shown_text(each.artwork)}, which lies elsewhere",
                    allowed="a picture in the job file's folder or below it",
                    do="Put a copy of it there",
                )
            elif folder and each.artwork and not (folder / each.artwork).is_file():
                yield Problem(
                    where=where,
                    found=f'"{each.artwork}", and no such file',
                    allowed="a picture beside the job file",
                    do=f"Put it at {folder / each.artwork}, or leave the key out",
                )
