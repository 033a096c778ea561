"""The cards of a shop: stations, badges, reasons, commands and care tasks, each with the code on its card.

Never draws one: that is tickets.cards.
"""

from collections.abc import Iterator

from msgspec import Struct

from shared.codes import CodeType, make, serial_of_name
from shared.files.shopfile import ShopFile

UNDO = "undo"
SIGN_OUT = "sign out"
STATION_DOWN = "station down"
STATION_UP = "station up"

COMMANDS = {
    UNDO: "Takes back the last read of this station, up to two minutes later.",
    SIGN_OUT: "Signs off the badge that works at this station.",
    STATION_DOWN: "Takes this station out of use until its station up card.",
    STATION_UP: "Puts this station into use again.",
}


class Card(Struct, frozen=True):
    """A thing that has a card: its type, its name, and the code that a scanner reads."""

    type: CodeType
    name: str

    @property
    def code(self) -> str:
        """The code is made from the name alone, so a printed card outlives any reordering of the shop file."""
        return make(self.type, serial_of_name(self.name))


def cards_of(shop: ShopFile) -> Iterator[Card]:
    """Every card of a shop."""
    yield from (Card(CodeType.STATION, station.name) for station in shop.stations)
    yield from (Card(CodeType.BADGE, badge.name) for badge in shop.badges)
    yield from (Card(CodeType.REASON, reason) for reason in shop.reasons)
    yield from (Card(CodeType.COMMAND, command) for command in COMMANDS)
    yield from (Card(CodeType.CARE, care.name) for care in shop.care)
