"""The shop file: what a shop is, as its owner writes it; each value checked by itself.

Never follows a name from one table to another: that is shared.files.references.
"""

import re
from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from ipaddress import ip_network
from typing import Annotated, Any, Literal
from zoneinfo import ZoneInfo, available_timezones

from babel import Locale
from babel.numbers import list_currencies
from pydantic import AfterValidator, BeforeValidator, Field, ValidationInfo

from shared.files.colours import Rgb, named, rgb
from shared.files.ink_import import InkImport
from shared.files.inks import Inks
from shared.files.near import SURE, nearest
from shared.files.pricing import Margin, PriceBreak, QuotationTable
from shared.files.problems import refuse
from shared.files.stepfile import RouteTable, StepTable
from shared.files.tables import Amount, Millimetres, Name, Number, Seconds, Shade, Share, SystemText, Table
from shared.hours import opening_of
from shared.words import LANGUAGES

# ruff: noqa: RUF012 - a default that can change is copied by pydantic for each table

FILE_NAME = "shop.toml"
PRINT_MAX_MM = (Decimal(600), Decimal(900))
"""The widest and the highest print on an item that does not say; common practice, no source."""


def _known_zone(name: str) -> str:
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        near = nearest(name, _zones(), SURE)
        zone = _zones()[near] if near else "America/New_York"
        raise refuse(allowed="an IANA time zone", do={"zone": zone}) from None
    return name


@cache
def _zones() -> Mapping[str, str]:
    """By their names, and by the cities in them; no bare offsets, whose signs and letters mislead: CEST is not EST."""
    names = sorted(name for name in available_timezones() if "/" in name and not name.startswith("Etc/"))
    return {**{name.rpartition("/")[2]: name for name in names}, **{name: name for name in ("UTC", *names)}}


def _known_currency(code: str) -> str:
    if code not in list_currencies():
        near = nearest(code, list_currencies(), SURE)
        raise refuse(allowed="an ISO 4217 currency code", do={"currency": near or "USD"})
    return code


def _known_language(name: str) -> str:
    if name not in LANGUAGES:
        known = _languages()
        near = nearest(name, known, SURE) or nearest(re.split("[-_ ]", name)[0], known, SURE)
        raise refuse(allowed=", ".join(LANGUAGES), do={"language": known[near] if near else "en"})
    return name


def _languages() -> Mapping[str, str]:
    """By their codes, and by their names in English and in themselves."""
    known = [(code, Locale(code)) for code in LANGUAGES]
    return {str(name): code for code, each in known for name in (code, each.english_name, each.display_name)}


class ShopTable(Table):
    """[shop]"""

    name: Name
    currency: Annotated[str, AfterValidator(_known_currency)] = "USD"
    zone: Annotated[str, AfterValidator(_known_zone)] = "UTC"
    language: Annotated[str, AfterValidator(_known_language)] = "en"
    """Of all that we say ourselves: one of the translation files, or English."""
    database: str = "sqlite:///ledger.db"
    repeat_window_s: Seconds = 2
    reason_card: Literal["before or after", "before"] = "before"
    """Whether a reason card may also follow its piece: if so, it spoils the one that was read last."""
    stock: str = "label-100x150"
    printer_dpi: Literal[203, 300, 600] | None = None
    """Dots an inch of the printer of travellers and cards; left out, 203 for labels and 600 for sheets."""
    print_command: SystemText = ""
    """A shell-free command that prints a remake's traveller; {file} stands for the PDF."""


class Prices(Table):
    """[prices]: in the shop's currency."""

    labour_per_hour: Amount = Decimal(0)
    overhead_per_labour_hour: Amount = Decimal(0)
    spoilage_allowance: Share = Decimal(0)
    pretreat_per_kg: Amount = Decimal(0)
    white_ink_per_ml: Amount = Decimal(0)
    colour_ink_per_ml: Amount = Decimal(0)
    margin: Margin | None = None
    """What a line without a price of its own is priced for, as a share of the price."""


def _a_colour(text: str) -> str:
    try:
        rgb(text)
    except ValueError:
        raise refuse(allowed="a colour as #rrggbb", do={"colours": {"navy": "#1b2340"}}) from None
    return text


class Item(Table):
    """[items."…"]: a blank that the shop prints on."""

    cost: Amount
    size_cost: dict[str, Amount] = {}
    sizes: list[Name] = []
    """The sizes it comes in, others are refused; left out, any size is taken, at `cost`."""
    shades: Annotated[dict[str, Shade], Field(min_length=1)]
    colours: dict[str, Annotated[str, AfterValidator(_a_colour)]] = {}
    """What the colours of `shades` look like; left out, what their names say."""
    routes: Annotated[dict[Shade, str], Field(min_length=1)]
    height_mm: Annotated[Number, Field(gt=0, allow_inf_nan=False)] = 5
    print_max_mm: tuple[Millimetres, Millimetres] = PRINT_MAX_MM

    def looks(self, colour: str) -> Rgb:
        """What a garment of that colour looks like. Raises KeyError."""
        return rgb(self.colours[colour]) if colour in self.colours else named(colour, self.shades[colour])

    def blank_cost(self, size: str) -> Decimal:
        """What one blank of that size costs."""
        return self.size_cost.get(size, self.cost)


class StationTable(Table):
    """[[stations]]"""

    name: Name
    steps: Annotated[list[str], Field(min_length=1)]
    machine_per_hour: Amount = Decimal(0)
    holds: Annotated[int, Field(strict=True, ge=1, le=10_000)] | None = None
    """How many pieces fit into it at once, as far as they are scanned in and out; None is any number."""
    head_room_mm: Annotated[Number, Field(gt=0, allow_inf_nan=False)] = 127
    """The tallest item that fits under a printer's head."""


class Badge(Table):
    """[[badges]]: a pair of hands."""

    name: Name
    per_hour: Amount | None = None


class Scanner(Table):
    """[[scanners]]: without a station it roams."""

    name: Name
    port: Annotated[SystemText, Field(min_length=1)]
    station: str | None = None
    baud: Annotated[int, Field(ge=300, le=4_000_000)] = 9600
    answers: bool = False
    """Whether the scanner is told, over its own wire, how the read ended."""


def _duration(value: Any) -> Any:
    """ "8h", "90m", "1d"; a bare number would be ambiguous."""
    units = {"s": 1, "m": 60, "h": 3600, "d": 86_400}
    text = value.strip() if isinstance(value, str) else ""
    if text[-1:] not in units or not text[:-1].strip().isdecimal() or not 0 < int(text[:-1]) <= 100_000:
        raise refuse(allowed="a whole number with s, m, h or d", do={"every": "8h"})
    return timedelta(seconds=int(text[:-1]) * units[text[-1]])


class Care(Table):
    """[[care]]: a task that falls due again and again."""

    name: Name
    every: Annotated[timedelta, BeforeValidator(_duration)]


def _an_address(text: str) -> str:
    try:
        ip_network(text)
    except ValueError:
        raise refuse(allowed="an address, or a network of them", do={"proxies": ["127.0.0.1"]}) from None
    return text


def _a_name(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z0-9]([A-Za-z0-9.-]*[A-Za-z0-9])?", text):
        raise refuse(allowed="a machine's name, without http:// and port", do={"names": ["floor.example"]})
    return text


class Pages(Table):
    """[pages]"""

    listen: str = "127.0.0.1:8765"
    distance_m: Annotated[Number, Field(gt=0, le=100)] = 5
    """How far from the wall's screen people stand, and how large it is, across: they set the size of the letters."""
    screen_in: Annotated[Number, Field(gt=0, le=1_000)] = 43
    names: list[Annotated[str, AfterValidator(_a_name)]] = []
    """By which the floor may be asked for, beside addresses and this machine's own name."""
    proxies: list[Annotated[str, AfterValidator(_an_address)]] = []
    """Whose X-Forwarded-* headers count; what others say in them is not believed."""


class BackupTable(Table):
    """[backups]: a verified copy of the ledger each day, after closing time."""

    folder: Annotated[SystemText, Field(min_length=1)] = "backups"
    """Relative to the shop folder; best on another disk."""
    keep: Annotated[int, Field(ge=0, le=10_000)] = 14
    """So many good ones stay; 0 makes none."""


class Reports(Table):
    """[reports]: the report of each week, written when the week is over."""

    folder: Annotated[SystemText, Field(min_length=1)] = "reports"
    """Relative to the shop folder."""
    weekly: bool = True
    """Whether the running floor writes them by itself."""


def _an_opening(text: str, day: ValidationInfo) -> str:
    try:
        opening_of(text)
    except ValueError:
        raise refuse(allowed='an opening such as "08:00-12:00"', do={str(day.field_name): ["08:00-12:00"]}) from None
    return text


Openings = list[Annotated[str, AfterValidator(_an_opening)]]


class HoursTable(Table):
    """[hours]: a day left out is closed."""

    mon: Openings = []
    tue: Openings = []
    wed: Openings = []
    thu: Openings = []
    fri: Openings = []
    sat: Openings = []
    sun: Openings = []
    closed: list[date] = []


class Allowance(Table):
    """[allowance]: relaxation and contingency, a share of the touch of each step, added in quotes."""

    share: Share = Decimal(0)


class ShopFile(Table):
    """A whole shop file."""

    shop: ShopTable
    hours: HoursTable | None = None
    prices: Prices = Prices()
    allowance: Allowance = Allowance()
    breaks: list[PriceBreak] = []
    quotation: QuotationTable = QuotationTable()
    inks: Inks = Inks()
    ink_import: InkImport = InkImport()
    items: Annotated[dict[Name, Item], Field(min_length=1)]
    steps: Annotated[dict[Name, StepTable], Field(min_length=1)]
    routes: Annotated[dict[Name, RouteTable], Field(min_length=1)]
    stations: Annotated[list[StationTable], Field(min_length=1)]
    badges: list[Badge] = []
    reasons: list[Name] = ["misprint", "banding", "stain", "scorch", "wrong garment"]
    scanners: list[Scanner] = []
    care: list[Care] = []
    pages: Pages = Pages()
    backups: BackupTable = BackupTable()
    reports: Reports = Reports()
