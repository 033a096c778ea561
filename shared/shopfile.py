"""The shop file: what a shop is, as its owner writes it; each value checked by itself.

Never follows a name from one table to another: that is shared.references.
"""

from datetime import date, timedelta
from decimal import Decimal
from typing import Annotated, Any, Literal
from zoneinfo import ZoneInfo

from babel.numbers import list_currencies
from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from shared.hours import opening_of
from shared.problems import refuse
from shared.route import IfMissed, Kind, Scans

FILE_NAME = "shop.toml"


WRITTEN_BITS_MAX = 64
"""A longer whole number was not meant; turning it into text could take for ever, so it is left to be refused."""


def as_text(value: Any) -> Any:
    """Numbers may be written bare or in quotes; floats are read as the decimal that was written."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    return value if isinstance(value, int) and value.bit_length() > WRITTEN_BITS_MAX else str(value)


Amount = Annotated[Decimal, BeforeValidator(as_text), Field(ge=0, le=1_000_000, allow_inf_nan=False)]
Share = Annotated[Decimal, BeforeValidator(as_text), Field(ge=0, lt=1, allow_inf_nan=False)]
Seconds = Annotated[float, Field(ge=0, le=86_400, allow_inf_nan=False)]
Millimetres = Annotated[Decimal, BeforeValidator(as_text), Field(gt=0, le=3_000, allow_inf_nan=False)]
Name = Annotated[str, Field(min_length=1, max_length=120)]
Shade = Literal["light", "dark"]


class Table(BaseModel):
    """A table of a file that people write: no key but those named, never changed after it was read."""

    model_config = ConfigDict(extra="forbid", frozen=True)


def _known_zone(name: str) -> str:
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        raise refuse(allowed="an IANA time zone", do='zone = "America/New_York"') from None
    return name


def _known_currency(code: str) -> str:
    if code not in list_currencies():
        raise refuse(allowed="an ISO 4217 currency code", do='currency = "USD"')
    return code


class ShopTable(Table):
    """[shop]"""

    name: Name
    currency: Annotated[str, AfterValidator(_known_currency)] = "USD"
    zone: Annotated[str, AfterValidator(_known_zone)] = "UTC"
    database: str = "sqlite:///ledger.db"
    repeat_window_s: Seconds = 2
    stock: str = "label-100x150"
    print_command: str = ""
    """A shell-free command that prints a remake's traveller; {file} stands for the PDF."""


class Prices(Table):
    """[prices]: in the shop's currency."""

    labour_per_hour: Amount = Decimal(0)
    overhead_per_labour_hour: Amount = Decimal(0)
    spoilage_allowance: Share = Decimal(0)
    pretreat_per_kg: Amount = Decimal(0)
    white_ink_per_ml: Amount = Decimal(0)
    colour_ink_per_ml: Amount = Decimal(0)


class Ink(Table):
    """[inks]: the full laydown of an ink, from the print grid, the drop and the passes, or as measured."""

    dpi: tuple[int, int] = (600, 600)
    drop_pl: Amount = Decimal(21)
    passes: Annotated[int, Field(ge=1, le=20)] = 1
    laydown_ml_per_m2: Amount | None = None
    coverage: Annotated[Decimal, BeforeValidator(as_text), Field(gt=0, le=1)] = Decimal("0.7")
    """The share of a print's rectangle that is inked, where neither the job file nor the artwork tells."""

    def full_ml(self, width_mm: Decimal, height_mm: Decimal) -> Decimal:
        """Millilitres that cover a rectangle wholly: dots per m² × drop volume (1 pl = 1e-9 ml) × passes."""
        metres2 = width_mm * height_mm / 1_000_000
        if self.laydown_ml_per_m2 is not None:
            return self.laydown_ml_per_m2 * metres2
        dots_per_m2 = Decimal(self.dpi[0] * self.dpi[1]) / Decimal("0.0254") ** 2
        return dots_per_m2 * self.drop_pl * Decimal("1e-9") * self.passes * metres2


class Inks(Table):
    """[inks]"""

    colour: Ink = Ink()
    white: Ink = Ink(passes=2)


class Item(Table):
    """[items."…"]: a blank that the shop prints on."""

    cost: Amount
    size_cost: dict[str, Amount] = {}
    shades: Annotated[dict[str, Shade], Field(min_length=1)]
    routes: Annotated[dict[Shade, str], Field(min_length=1)]
    height_mm: Annotated[float, Field(gt=0, allow_inf_nan=False)] = 5

    def blank_cost(self, size: str) -> Decimal:
        """What one blank of that size costs."""
        return self.size_cost.get(size, self.cost)


class StepUses(Table):
    """[steps.….uses]"""

    pretreat_g: Amount = Decimal(0)
    consumables: Amount = Decimal(0)


class StepTable(Table):
    """[steps.…], and with other numbers wherever a route writes { step = "cure", min_s = 60 }."""

    event: Name
    kind: Kind
    scans: Scans = "out"
    if_missed: IfMissed = "assume"
    touch_s: Seconds = 0
    machine_s: Seconds = 0
    min_s: Seconds = 0
    wait_limit_s: Seconds | None = None
    over_s: Seconds = 60
    """How long after its least time a dwell may go on before the wall says so."""
    settings: dict[str, str | int | float] = {}
    uses: StepUses = StepUses()
    ink: Literal["white", "colour", "none"] | None = None
    """Which ink of the line's print the step lays down; left out, it follows from the event's name."""

    @model_validator(mode="after")
    def _dwells_have_two_scans_and_a_time(self) -> "StepTable":
        if self.kind == "dwell" and self.min_s <= 0:
            raise refuse(allowed="a least time above 0 for a dwell", do="min_s = 180")
        if self.kind == "dwell" and self.scans != "in_out" and "scans" in self.model_fields_set:
            raise refuse(allowed='scans = "in_out" for a dwell', do='scans = "in_out"')
        return self

    @property
    def scanned(self) -> Scans:
        """How the step is scanned: a dwell always at both ends."""
        return "in_out" if self.kind == "dwell" else self.scans

    @property
    def safe_if_missed(self) -> IfMissed:
        """Inspection and cure stop what comes after them unless the shop says otherwise."""
        if "if_missed" in self.model_fields_set:
            return self.if_missed
        return "stop" if self.kind == "dwell" or self.event == "inspected" else "assume"

    @property
    def lays_down(self) -> str | None:
        """ "white", "colour" or None."""
        if self.ink is not None:
            return None if self.ink == "none" else self.ink
        return {"underlayer printed": "white", "colour printed": "colour"}.get(self.event)


class RouteStep(Table):
    """One entry of a route: a step's key, and what differs from [steps.…] on this route."""

    step: str
    touch_s: Seconds | None = None
    machine_s: Seconds | None = None
    min_s: Annotated[float, Field(gt=0, le=86_400)] | None = None
    wait_limit_s: Seconds | None = None
    settings: dict[str, str | int | float] = {}
    uses: StepUses | None = None


def _named_step(entry: Any) -> Any:
    if not isinstance(entry, str | dict):
        raise refuse(
            allowed='a step by its name, or a table such as { step = "cure", min_s = 60 }',
            do='"dark garment" = ["colour", "cure", "pack"]',
        )
    return {"step": entry} if isinstance(entry, str) else entry


RouteTable = Annotated[list[Annotated[RouteStep, BeforeValidator(_named_step)]], Field(min_length=1)]


class Station(Table):
    """[[stations]]"""

    name: Name
    steps: Annotated[list[str], Field(min_length=1)]
    machine_per_hour: Amount = Decimal(0)
    head_room_mm: Annotated[float, Field(gt=0, allow_inf_nan=False)] = 127
    """The tallest item that fits under a printer's head."""


class Badge(Table):
    """[[badges]]: a pair of hands."""

    name: Name
    per_hour: Amount | None = None


class Scanner(Table):
    """[[scanners]]: without a station it roams."""

    name: Name
    port: Annotated[str, Field(min_length=1)]
    station: str | None = None
    baud: Annotated[int, Field(ge=300, le=4_000_000)] = 9600
    answers: bool = False
    """Whether the scanner is told, over its own wire, how the read ended."""


def _duration(value: Any) -> Any:
    """ "8h", "90m", "1d"; a bare number would be ambiguous."""
    units = {"s": 1, "m": 60, "h": 3600, "d": 86_400}
    text = value.strip() if isinstance(value, str) else ""
    if text[-1:] not in units or not text[:-1].strip().isdecimal() or not 0 < int(text[:-1]) <= 100_000:
        raise refuse(allowed="a whole number with s, m, h or d", do='every = "8h"')
    return timedelta(seconds=int(text[:-1]) * units[text[-1]])


class Care(Table):
    """[[care]]: a task that falls due again and again."""

    name: Name
    every: Annotated[timedelta, BeforeValidator(_duration)]


class Pages(Table):
    """[pages]"""

    listen: str = "127.0.0.1:8765"


_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def _an_opening(text: str) -> str:
    try:
        opening_of(text)
    except ValueError:
        raise refuse(allowed='an opening such as "08:00-12:00"', do='mon = ["08:00-12:00"]') from None
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


class ShopFile(Table):
    """A whole shop file."""

    shop: ShopTable
    hours: HoursTable | None = None
    prices: Prices = Prices()
    inks: Inks = Inks()
    items: Annotated[dict[Name, Item], Field(min_length=1)]
    steps: Annotated[dict[Name, StepTable], Field(min_length=1)]
    routes: Annotated[dict[Name, RouteTable], Field(min_length=1)]
    stations: Annotated[list[Station], Field(min_length=1)]
    badges: list[Badge] = []
    reasons: list[Name] = ["misprint", "banding", "stain", "scorch", "wrong garment"]
    scanners: list[Scanner] = []
    care: list[Care] = []
    pages: Pages = Pages()
