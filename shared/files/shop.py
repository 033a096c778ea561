"""A shop as the floor asks about it: its cards, hours, stations, hands, and the route of a piece.

Never written by people: that is shared.files.shopfile.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from functools import cached_property
from pathlib import Path
from typing import Any, cast

from msgspec import Struct
from msgspec.structs import replace

from shared.files.cards import Card, cards_of
from shared.files.problems import Problem, checked, read_toml
from shared.files.references import shop_problems
from shared.files.shopfile import FILE_NAME, Badge, Item, ShopFile, StationTable
from shared.files.stepfile import RouteStep
from shared.files.tables import Shade
from shared.hours import Hours
from shared.money import minor_unit
from shared.prices import PriceList
from shared.route import Route, Step, Uses, places_repeated
from shared.words import Words


class Shop:
    """A checked shop. Everything it answers follows from the shop file alone."""

    def __init__(self, file: ShopFile) -> None:
        self.file = file
        self.name = file.shop.name
        self.currency = file.shop.currency
        self.unit = minor_unit(file.shop.currency)
        self.prices = file.prices
        self.cards: Mapping[str, Card] = {card.code: card for card in cards_of(file)}
        self.stations: Mapping[str, StationTable] = {station.name: station for station in file.stations}
        self.badges: Mapping[str, Badge] = {badge.name: badge for badge in file.badges}
        self.words = Words(file.shop.language)
        self.presses = tuple(station.name for station in file.stations if self._is_press(station))
        self._stations_for = {
            key: tuple(each.name for each in file.stations if key in each.steps) for key in file.steps
        }

    def _is_press(self, station: StationTable) -> bool:
        return any(self.file.steps[step].is_press for step in station.steps)

    @cached_property
    def hours(self) -> Hours:
        """The opening hours, in the shop's zone."""
        return Hours.from_table(self.file.hours.model_dump() if self.file.hours else None, self.file.shop.zone)

    @cached_property
    def price_list(self) -> PriceList:
        """All that costing needs of the shop file's prices."""
        return _price_list(self.file)

    def item(self, name: str) -> Item:
        """An item of the catalogue. Raises KeyError."""
        return self.file.items[name]

    def does(self, station: str, step: str) -> bool:
        """Whether a step is done at a station."""
        return station in self.stations and step in self.stations[station].steps

    def stations_for(self, step: str) -> tuple[str, ...]:
        """The stations at which a step is done, in the order of the shop file; none for a step that it lacks."""
        return self._stations_for.get(step, ())

    def route(self, item: str, shade: str, prints: Sequence["PrintInk"]) -> Route:
        """The route of a piece, the print steps repeated for every place, each with its ink.

        Raises KeyError for an item or a shade that the shop does not have.
        """
        plain = [self._step(entry) for entry in self.file.routes[self.item(item).routes[cast(Shade, shade)]]]
        inks = {ink.place: ink for ink in prints}
        only = prints[0] if len(prints) == 1 else None
        return tuple(
            self._inked(step, place, inks.get(place, only)) for step, place in places_repeated(plain, list(inks))
        )

    def _step(self, entry: RouteStep) -> Step:
        table = self.file.steps[entry.step]
        uses = entry.uses or table.uses
        return Step(
            key=entry.step,
            event=table.event,
            kind=table.kind,
            scans=table.scanned,
            if_missed=table.safe_if_missed,
            touch_s=_first(entry.touch_s, table.touch_s),
            machine_s=_first(entry.machine_s, table.machine_s),
            setup_s=_first(entry.setup_s, table.setup_s),
            min_s=_first(entry.min_s, table.min_s) if table.is_press else 0,
            over_s=table.over_s,
            wait_limit_s=_first(entry.wait_limit_s, table.wait_limit_s),
            settings={key: str(value) for key, value in {**table.settings, **entry.settings}.items()},
            uses=Uses(pretreat_g=uses.pretreat_g, consumables=uses.consumables),
        )

    def _inked(self, step: Step, place: str, ink: "PrintInk | None") -> Step:
        colour = self.file.steps[step.key].lays_down
        uses = replace(
            step.uses,
            white_ml=ink.white_ml if ink and colour == "white" else Decimal(0),
            colour_ml=ink.colour_ml if ink and colour == "colour" else Decimal(0),
            estimated_ml=ink.estimates.get(colour) if ink and colour else None,
        )
        return replace(step, place=place, uses=uses)


class PrintInk(Struct, frozen=True, kw_only=True):
    """The ink of one print of a line, in millilitres, by the job file or the standard."""

    place: str
    white_ml: Decimal
    colour_ml: Decimal
    estimates: Mapping[str, Decimal] = {}
    """By ink that the job file does not tell: the estimate before a factor."""


def _price_list(file: ShopFile) -> PriceList:
    """The prices of a shop file."""
    prices = file.prices
    return PriceList(
        currency=file.shop.currency,
        labour_per_hour=prices.labour_per_hour,
        overhead_per_labour_hour=prices.overhead_per_labour_hour,
        pretreat_per_kg=prices.pretreat_per_kg,
        white_ink_per_ml=prices.white_ink_per_ml,
        colour_ink_per_ml=prices.colour_ink_per_ml,
        blanks={name: item.cost for name, item in file.items.items()},
        blank_sizes={name: item.size_cost for name, item in file.items.items() if item.size_cost},
        hands={badge.name: badge.per_hour for badge in file.badges if badge.per_hour is not None},
        machines={station.name: station.machine_per_hour for station in file.stations},
        steps={step: station.machine_per_hour for station in reversed(file.stations) for step in station.steps},
    )


def _first(own: Any, general: Any) -> Any:
    return general if own is None else own


def parse_shop(data: Mapping[str, Any], file: str = FILE_NAME) -> Shop:
    """A shop from the TOML data of its file.

    Raises ProblemsFound with every problem of the file.
    """

    def between(shop: ShopFile) -> list[Problem]:
        return [*shop_problems(shop, file), *_hours_problems(shop, file)]

    return Shop(checked(data, file, ShopFile, between))


def load_shop(folder: Path) -> Shop:
    """The shop in a folder.

    Raises ProblemsFound: no such file, no TOML, or every problem in it.
    """
    return parse_shop(read_toml(folder / FILE_NAME))


def _hours_problems(shop: ShopFile, file: str) -> list[Problem]:
    try:
        Hours.from_table(shop.hours.model_dump() if shop.hours else None, shop.shop.zone)
    except ValueError as error:
        return [Problem(where=f"{file}: hours", found=str(error), allowed='"08:00-12:00"', do="Mend it")]
    return []
