"""What a station remembers between two reads.

Never decides. It is changed by floor.core.folds alone.
"""

from bisect import bisect_right
from collections import deque
from dataclasses import dataclass, field
from datetime import datetime
from operator import itemgetter
from typing import NamedTuple

from floor.core.state.outages import Outages
from shared.events.reads import Read
from shared.events.recorded import Recorded

UNDOABLE_MAX = 100
"""More reads than a station does in the two minutes of the undo card; of more, the oldest stand."""


class Undoable(NamedTuple):
    """A read that did something to a piece, and can be taken back for a while."""

    piece: str
    at: datetime
    told: datetime
    """When it was recorded: long after it occurred, where a person wrote its moment down."""
    seq: int


class LastRead(NamedTuple):
    """The read that a station recorded last."""

    read: Read
    at: datetime
    badge: str | None


@dataclass(slots=True)
class Station:
    """What a station remembers between two reads."""

    signings: list[tuple[datetime, int, str | None]] = field(default_factory=list)
    """Who signed in here, None for a sign-out: by when it was, two at one moment by when they arrived."""
    reason: tuple[str, datetime] | None = None
    """A reason card that waits for its piece."""
    last_piece: tuple[str, datetime] | None = None
    """The piece that was read last, whatever became of it: a reason card may follow."""
    last_read: LastRead | None = None
    """The last read that was recorded here, for the repeat window."""
    undoable: deque[Undoable] = field(default_factory=lambda: deque(maxlen=UNDOABLE_MAX))
    """The reads here that did something and were not taken back, as they arrived."""
    openings: list[tuple[datetime, int]] = field(default_factory=list)
    """When a piece was scanned into it, or out of it, where it is a press, and by which row; in the order of the
    moments. Of more than can be taken back the oldest are forgotten."""
    dead: set[str] = field(default_factory=set)
    """The pieces that were spoiled or given up in it, where it is a press, whether or not they lie in it still."""
    steps: list[Recorded] = field(default_factory=list)
    """The rows of steps that began or ended here, taken back or not, by when they occurred; two at one moment by when
    they arrived."""

    outages: Outages = field(default_factory=Outages)

    @property
    def opened(self) -> datetime | None:
        """When a piece was last scanned into it, or out of it, where it is a press."""
        return self.openings[-1][0] if self.openings else None

    @property
    def down_since(self) -> datetime | None:
        """Since when it takes no work; None while it does."""
        return self.outages.down_since

    def hands_at(self, moment: datetime) -> tuple[str, datetime] | None:
        """Who was signed in at a moment, and since when; None where nobody was."""
        index = bisect_right(self.signings, moment, key=itemgetter(0))
        since, _, badge = self.signings[index - 1] if index else (moment, 0, None)
        return (badge, since) if badge else None
