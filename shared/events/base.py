"""What every event has, and the streams that events belong to.

Never holds a fact itself: the facts are in the files beside this one.
"""

from msgspec import Struct


class Event(Struct, frozen=True, kw_only=True, tag_field="kind", omit_defaults=True, gc=False):
    """A fact. Its fields are the body of a ledger row; its tag is the row's kind.

    Facts are plain frozen data and refer to nothing that could refer back to them, so Python's search for cycles
    need not look at the hundred thousands of them that a running floor holds (`gc=False`).
    """

    @property
    def stream(self) -> str:
        """The piece, job or station that the fact belongs to, or "floor"."""
        return "floor"


class JobEvent(Event, frozen=True, kw_only=True):
    """A fact about one job."""

    job: str

    @property
    def stream(self) -> str:
        return self.job


class PieceEvent(Event, frozen=True, kw_only=True):
    """A fact about one piece."""

    piece: str

    @property
    def stream(self) -> str:
        return self.piece


class StationEvent(Event, frozen=True, kw_only=True):
    """A fact about one station."""

    at_station: str

    @property
    def stream(self) -> str:
        return f"station {self.at_station}"
