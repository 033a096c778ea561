"""What devices and time did to the floor, and what the floor did by itself.

Never tells why an alarm stands: that is floor.core.plan.alarms.
"""

from datetime import datetime
from typing import Literal

from shared.events.base import Event


class ScannerEvent(Event, frozen=True, kw_only=True):
    """A fact about one scanner."""

    scanner: str

    @property
    def stream(self) -> str:
        return f"scanner {self.scanner}"


class ScannerLost(ScannerEvent, frozen=True, kw_only=True, tag="scanner lost"):
    """A scanner is not there: unplugged, switched off, out of reach."""

    why: str


class ScannerFound(ScannerEvent, frozen=True, kw_only=True, tag="scanner found"):
    """A scanner that was lost is there again."""


AlarmKind = Literal[
    "wet too long",
    "press open now",
    "press over time",
    "opened too early",
    "job late",
    "scanner absent",
    "care due",
    "station down",
]


class AlarmEvent(Event, frozen=True, kw_only=True):
    """A fact about one alarm."""

    alarm: AlarmKind
    subject: str
    """The piece, job, task or station that it is about."""

    @property
    def stream(self) -> str:
        return self.subject


class AlarmRaised(AlarmEvent, frozen=True, kw_only=True, tag="alarm raised"):
    """Something needs a person; `since` is when it fell due, which may be long before it was noticed."""

    since: datetime
    say: str
    at_station: str | None = None


class AlarmCleared(AlarmEvent, frozen=True, kw_only=True, tag="alarm cleared"):
    """What an alarm was about has been dealt with."""


class WorkDone(Event, frozen=True, kw_only=True, tag="work done"):
    """A daily or weekly task of the floor itself was done for a day or a week: "sign out", "2026-11-25"."""

    task: str
    period: str


class WeekReported(Event, frozen=True, kw_only=True, tag="week reported"):
    """The report of a week that was over was written: anew, as its next revision, where late reads changed it."""

    week: str
    end: datetime
    revision: int = 0
    digest: str
    """Of all that the report says: where late reads change nothing of it, there is no other revision."""
    anchor: str = ""
    """The head of the ledger as it was then, such as "1234:0123456789abcdef"."""
