"""Lots: opening one, and which of them a piece is made of.

Never counts how much of a lot is left.
"""

from collections.abc import Callable, Iterator, Mapping
from datetime import datetime

from msgspec import Struct

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece, Walked
from floor.core.state.supplies import Opened
from shared.events.recorded import Fact
from shared.events.supplies import LotOpened, Material
from shared.files.near import did_you_mean
from shared.files.shop import Shop
from shared.route import Step
from shared.wish import NotPossible
from shared.wording import spaced
from shared.words import ENGLISH, Words

LOT_MAX = 120
"""Letters in the name of a lot: as many as in any other name."""

TAKES: Mapping[Material, Callable[[Step], bool]] = {
    "pretreat": lambda step: bool(step.uses.pretreat_g) or step.event == "pretreated",
    "white_ink": lambda step: bool(step.uses.white_ml),
    "colour_ink": lambda step: bool(step.uses.colour_ml),
    "cover_sheet": lambda step: step.settings.get("cover", "none") != "none",
}
"""Which steps take a material. The blank is taken by the first step that is done to a piece."""


class Used(Struct, frozen=True, kw_only=True):
    """A lot that a piece is made of. `assumed`: nobody saw the step, so it may have been another one."""

    material: Material
    lot: str
    item: str | None
    step: str
    at: datetime
    assumed: bool
    row: int
    """That opened the lot."""

    def name(self, words: Words = ENGLISH) -> str:
        """The lot as people say it: "pretreat L123", "heavy tee L123"."""
        return f"{self.item or words.say(spaced(self.material))} {self.lot}"

    def told(self, words: Words = ENGLISH) -> str:
        """The same, and "perhaps" before it where nobody saw the step."""
        return words.say("perhaps {lot}", lot=self.name(words)) if self.assumed else self.name(words)


class LotUse(Struct, frozen=True, kw_only=True):
    """A lot, where and when it was in use. `station` None is all of them; `until` is None while it is in use."""

    material: Material
    lot: str
    item: str | None
    station: str | None
    since: datetime
    until: datetime | None
    row: int
    """That opened the lot."""


def lots_of(floor: Floor, shop: Shop, piece: Piece) -> tuple[Used, ...]:
    """The lots that were in use where and when each step of a piece was done."""
    if not floor.supplies.lots.opened:
        return ()
    item = floor.line_of(piece).item
    return tuple(
        Used(
            material=opened.event.material,
            lot=opened.event.lot,
            item=opened.event.item,
            step=step.label,
            at=at,
            assumed=walked.assumed,
            row=opened.seq,
        )
        for n, (step, walked, at) in enumerate(_begun(piece))
        for material in _taken(step, first=n == 0)
        for opened in _in_use(floor, shop, material, item, step, walked, at)
    )


def _begun(piece: Piece) -> Iterator[tuple[Step, Walked, datetime]]:
    """The steps that were begun, each with the moment at which it took what it takes."""
    for step, walked in zip(piece.route, piece.walk, strict=True):
        if at := walked.done or walked.started or walked.passed:
            yield step, walked, at


def _taken(step: Step, first: bool) -> Iterator[Material]:
    if first:
        yield "blank"
    yield from (material for material, takes in TAKES.items() if takes(step))


def _in_use(
    floor: Floor, shop: Shop, material: Material, item: str, step: Step, walked: Walked, at: datetime
) -> list[Opened]:
    """The lot in use; of a step that nobody saw, the lots at every station where it may have been done."""
    stations = (walked.station,) if walked.station else shop.stations_for(step.key)
    of = item if material == "blank" else None
    found = (floor.supplies.lots.in_use(material, of, station, at) for station in stations)
    return list(dict.fromkeys(opened for opened in found if opened))


def open_lot(floor: Floor, shop: Shop, event: LotOpened, at: datetime) -> Fact:
    """A lot is in use from a moment on. Raises NotPossible."""
    if why := _why_not(floor, shop, event, at):
        raise NotPossible(why)
    return Fact(event=event, occurred_at=at)


def _why_not(floor: Floor, shop: Shop, event: LotOpened, at: datetime) -> str | None:
    if not 0 < len(event.lot.strip()) <= LOT_MAX or "\0" in event.lot:
        return f"A lot has a name of 1 to {LOT_MAX} letters. Write what stands on its label."
    if event.at_station is not None and event.at_station not in shop.stations:
        meant = did_you_mean(event.at_station, shop.stations)
        return f"There is no station {event.at_station!r}; stations here: {', '.join(shop.stations)}.{meant}"
    if (event.material == "blank") != (event.item is not None):
        return "A lot of blanks is of one item, and no other lot is. Say --item for blanks, and only for them."
    if event.item is not None and event.item not in shop.file.items:
        meant = did_you_mean(event.item, shop.file.items)
        return f"There is no item {event.item!r}; items here: {', '.join(shop.file.items)}.{meant}"
    before = floor.supplies.lots.in_use(event.material, event.item, event.at_station, at)
    if before and before.event == event:
        return f"{spaced(event.material).capitalize()} {event.lot} was in use there by then. Nothing to do."
    return None


def lots_answer(floor: Floor) -> list[LotUse]:
    """Every lot that was opened, in the order of the moments."""
    lines: list[LotUse] = []
    ends: dict[tuple[str, str | None, str | None], datetime] = {}
    for opened in reversed(list(floor.supplies.lots)):
        lot = opened.event
        later = (ends.get((lot.material, lot.item, station)) for station in {lot.at_station, None})
        lines.append(_line(opened, min(filter(None, later), default=None)))
        ends[lot.material, lot.item, lot.at_station] = opened.at
    return lines[::-1]


def _line(opened: Opened, until: datetime | None) -> LotUse:
    lot = opened.event
    return LotUse(
        material=lot.material,
        lot=lot.lot,
        item=lot.item,
        station=lot.at_station,
        since=opened.at,
        until=until,
        row=opened.seq,
    )
