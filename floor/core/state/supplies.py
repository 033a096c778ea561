"""What the floor remembers of its supplies: which lots were in use, where, and from when on.

Never knows which step takes what: that is floor.core.trace.lots. It is changed by floor.core.folds.supplies alone.
"""

from bisect import bisect_right, insort
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from operator import attrgetter
from typing import NamedTuple

from floor.core.state.ink_book import InkBook
from floor.core.state.receipts import Receipts
from shared.events.supplies import LotOpened, Material


class Opened(NamedTuple):
    """A lot that was opened, and the row that says so. Of two opened at one moment the later row holds."""

    at: datetime
    seq: int
    event: LotOpened


Place = tuple[Material, str | None, str | None]
"""Material, item of a blank, and station: None is every station."""
_when = attrgetter("at")


@dataclass(slots=True)
class Lots:
    """Every lot that was opened, by what and where it is."""

    opened: dict[Place, list[Opened]] = field(default_factory=dict)
    """In the order of the moments, two at one moment by when they arrived."""

    def open(self, at: datetime, seq: int, event: LotOpened) -> None:
        """A lot is in use from a moment on."""
        place = (event.material, event.item, event.at_station)
        insort(self.opened.setdefault(place, []), Opened(at, seq, event), key=lambda each: each[:2])

    def in_use(self, material: Material, item: str | None, station: str | None, at: datetime) -> Opened | None:
        """The lot in use at a station at a moment: the last that was opened, for that station or for all."""
        found = (self._last((material, item, where), at) for where in {station, None})
        return max((opened for opened in found if opened), key=lambda each: each[:2], default=None)

    def _last(self, place: Place, at: datetime) -> Opened | None:
        opened = self.opened.get(place, [])
        index = bisect_right(opened, at, key=_when)
        return opened[index - 1] if index else None

    def __iter__(self) -> Iterator[Opened]:
        """All of them, in the order in which they were opened."""
        yield from sorted((each for opened in self.opened.values() for each in opened), key=lambda each: each[:2])


@dataclass(slots=True)
class Supplies:
    """What is remembered of supplies."""

    lots: Lots = field(default_factory=Lots)
    ink: InkBook = field(default_factory=InkBook)
    receipts: Receipts = field(default_factory=Receipts)
