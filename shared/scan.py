"""A read at a scanner, and the answer that goes back to the operator.

Never decides: the answer is made by floor.core.rules.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Literal

from msgspec import Struct

OutcomeWord = Literal["accepted", "started", "repeated", "refused", "kept"]
"""A remote bench says "kept" when a read is safe with it and the floor has not decided on it yet."""
Signal = Literal["good", "look", "stop"]
"""What an operator must tell apart without reading: it counts, it counts but there is something to see, it does not."""
Reason = Literal[
    "not-a-code",
    "unknown",
    "wrong-station",
    "missed-step",
    "too-short",
    "finished",
    "spoiled",
    "held",
    "no-station",
    "cancelled",
    "nothing-to-undo",
    "station-down",
    "station-full",
    "out-of-order",
]


BY_HAND = "by hand"
"""The device of a read that a person typed."""
BACKFILL = "backfill"
"""The device of a read that was written down and typed in afterwards."""
TYPED = frozenset({BY_HAND, BACKFILL})
"""The devices whose moments a person may have written down."""


class Scan(Struct, frozen=True, kw_only=True):
    """One read, as the scanner's side tells it.

    `read_id` is made before the first attempt to deliver and travels with every retry; `text` is what was read,
    cleaned of terminators, whether it is a code or not; `at` is UTC, by the scanner's side; `device` is the
    scanner's name; `station` is where it stands, or None for a roaming scanner, which takes the station card
    it read last.
    """

    read_id: str
    text: str
    at: datetime
    device: str
    station: str | None = None
    badge: str | None = None
    typed: bool = False
    """Whether a person wrote down its moment, and may have erred by an hour or a day."""

    def __post_init__(self) -> None:
        if self.at.tzinfo is None:
            raise ValueError(f"scan {self.read_id}: 'at' has no time zone; use UTC")


class Answer(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """What the operator is told: a word, one short line, what comes next, and the piece's settings there."""

    outcome: OutcomeWord
    say: str
    look: bool = False
    """Whether it was done, but the one who did it should look: `say` tells at what."""
    reason: Reason | None = None
    piece: str | None = None
    step: str | None = None
    next: str | None = None
    seconds_left: float | None = None
    over_s: float | None = None
    """For how long a press held the piece over its least time, where that was too long."""
    settings: Mapping[str, str] = {}
    remake: str | None = None
    """The piece that was opened in place of a spoiled one: its ticket is to be printed."""

    @property
    def good(self) -> bool:
        """Whether the scanner should beep gladly."""
        return self.outcome != "refused"

    @property
    def signal(self) -> Signal:
        """How the answer looks and sounds."""
        if not self.good:
            return "stop"
        return "look" if self.look else "good"

    @property
    def line(self) -> str:
        """The answer in a line of text: "accepted: …", "accepted, but look: …"."""
        return f"{self.outcome}{', but look' if self.signal == 'look' else ''}: {self.say}"
