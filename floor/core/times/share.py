"""What a step of a piece took of hands or of a machine, and how that is known.

Never knows where it comes from: floor.core.times.hands and floor.core.times.machines work it out.
"""

from collections.abc import Container
from datetime import datetime, timedelta
from typing import Literal, NamedTuple

from msgspec import Struct

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from shared.events.reads import StepDone, StepStarted
from shared.events.recorded import Recorded
from shared.route import Step
from shared.scan import TYPED

Basis = Literal["seen", "measured", "shared", "standard"]
"""seen: scanned at both ends; measured: the start follows from the reads before; shared: one time for several, by their
standards; standard: the standard stands in."""
Why = Literal[
    "",
    "not seen",
    "hands unknown",
    "first read of a shift",
    "nothing before",
    "moment typed",
    "too long to be one step",
    "too short to be true",
    "across closed hours",
    "waited",
    "left closed",
    "serves a machine",
]
"""Why the standard stands in, or bounds what was measured."""
UNSEEN: Container[Why] = {"not seen", "hands unknown"}
"""The work of hands that no read shows."""
LOADING = 2 / 3
"""So much of a machine's touch loads it; the rest takes the piece off."""
AT_ONCE = timedelta(minutes=1)
"""A read that is typed so soon is one of this moment; a later one has a moment that somebody wrote down."""
Key = tuple[str, int]
"""A step of a piece: the piece's code, the index in its route."""


class Share(Struct, frozen=True, gc=False):
    """Seconds that a step took of hands, or of a machine. `began`: since when it can have been worked on."""

    seconds: float
    basis: Basis
    why: Why = ""
    began: datetime | None = None
    most_s: float = 0.0
    """What it took of hands where these loaded no machine meanwhile; of times that were measured."""


class Report(NamedTuple):
    """A read that says that a step began or was done, and stands: it was neither undone nor contradicted."""

    row: Recorded
    piece: Piece
    n: int
    ends: bool
    step: Step
    """What it is about."""

    @property
    def key(self) -> Key:
        """The step that it is about."""
        return self.piece.code, self.n

    @property
    def by_hand(self) -> bool:
        """Whether hands alone did the step, and it ended."""
        return self.ends and not self.step.has_machine

    @property
    def at(self) -> datetime:
        """When it was read."""
        return self.row.occurred_at

    @property
    def ready(self) -> datetime | None:
        """When the step before was done; None where nobody saw that, or saw it later."""
        done = self.piece.walk[self.n - 1].done if self.n else None
        return done if done is not None and done <= self.at else None


def report_of(floor: Floor, row: Recorded) -> Report | None:
    """What a read says of a step; None for any other read, and for one that no longer counts."""
    event = row.event
    if not isinstance(event, StepDone) and not isinstance(event, StepStarted):  # twice as quick as asking for either
        return None
    piece, ends = floor.pieces[event.piece], isinstance(event, StepDone)
    walked = piece.walk[event.step]
    moment = walked.done if ends else walked.started
    return Report(row, piece, event.step, ends, piece.route[event.step]) if moment == row.occurred_at else None


def end_of(piece: Piece, n: int) -> Recorded | None:
    """The row that says that a step was done."""
    done = (row for row in reversed(piece.facts) if type(row.event) is StepDone and row.event.step == n)
    return next(done, None)


def typed(row: Recorded) -> bool:
    """Whether a person wrote the moment down, and may have erred."""
    return row.device in TYPED and row.recorded_at - row.occurred_at > AT_ONCE
