"""The ledger as XES (IEEE 1849-2016): for each piece a trace of what was done to it, for programs that study processes.

Never tells what was undone: a trace is how it was, as far as is known now.
"""

import sqlite3
from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import groupby
from operator import itemgetter
from typing import NamedTuple, assert_never
from xml.sax.saxutils import quoteattr
from zoneinfo import ZoneInfo

from floor.exports.moments import local, rfc3339
from floor.exports.pieces import REMEMBERED, Card, Pieces
from floor.exports.scratch import scratch
from floor.exports.window import EVERYTHING, Window
from floor.ledger.row import microseconds
from shared.events import (
    PieceOpened,
    PieceSpoiled,
    Recorded,
    StepAssumed,
    StepDone,
    StepInterrupted,
    StepStarted,
    Undone,
)
from shared.harmless import harmless

HEAD = """<?xml version="1.0" encoding="UTF-8"?>
<log xes.version="1849-2016" xes.features="" xmlns="http://www.xes-standard.org/">
<extension name="Concept" prefix="concept" uri="http://www.xes-standard.org/concept.xesext"/>
<extension name="Time" prefix="time" uri="http://www.xes-standard.org/time.xesext"/>
<extension name="Lifecycle" prefix="lifecycle" uri="http://www.xes-standard.org/lifecycle.xesext"/>
<extension name="Organizational" prefix="org" uri="http://www.xes-standard.org/org.xesext"/>
<global scope="trace">
<string key="concept:name" value=""/>
</global>
<global scope="event">
<string key="concept:name" value=""/>
<string key="lifecycle:transition" value="complete"/>
<date key="time:timestamp" value="1970-01-01T00:00:00Z"/>
</global>
<classifier name="Activity" keys="concept:name lifecycle:transition"/>
"""
FOOT = "</log>\n"
OF_PIECE = ("job", "design", "item", "colour", "size", "remake_of")
START, COMPLETE, ABORTED, UNKNOWN = "start", "complete", "ate_abort", "unknown"
"""Of the lifecycle extension: "unknown" is for a step that nobody saw, taken as done because of a later one."""

Fact = PieceOpened | PieceSpoiled | StepStarted | StepInterrupted | StepDone | StepAssumed
FACTS = (PieceOpened, PieceSpoiled, StepStarted, StepInterrupted, StepDone, StepAssumed)


class Doing(NamedTuple):
    """What an event of a trace says: the activity, where it is in its life, and at which resource, if that is known."""

    activity: str
    transition: str
    resource: str | None = None


def xes_document(rows: Iterable[Recorded], zone: ZoneInfo, window: Window = EVERYTHING) -> Iterator[bytes]:
    """The document, a piece of it at a time; `rows` are all from the first on, and read to their end before.

    A trace holds what occurred in the window, in the order of the moments; a piece without any has no trace.
    """
    with scratch() as database:
        traces = Traces(database, zone)
        for row in rows:
            traces.gather(row, window)
        yield HEAD.encode()
        yield from (text.encode() for text in traces.texts())
        yield FOOT.encode()


class Traces:
    """Gathers the rows of a ledger by piece, for they lie far apart in the ledger."""

    def __init__(self, database: sqlite3.Connection, zone: ZoneInfo) -> None:
        database.execute("CREATE TABLE event (seq INTEGER PRIMARY KEY, piece TEXT, at INTEGER, body TEXT)")
        self._database = database
        self._zone = zone
        self._pieces = Pieces(database)
        self._card = lru_cache(REMEMBERED)(self._pieces.card)

    def gather(self, row: Recorded, window: Window) -> None:
        """Take in the next row of the ledger."""
        event = row.event
        self._pieces.note(row)
        if isinstance(event, Undone):
            self._database.executemany("DELETE FROM event WHERE seq = ?", ((seq,) for seq in event.rows))
        elif isinstance(event, FACTS) and window.holds(row):
            body = event_text(row, doing(row, event, self._card(event.piece)), self._zone)
            at = microseconds(row.occurred_at)
            self._database.execute("INSERT INTO event VALUES (?, ?, ?, ?)", (row.seq, event.piece, at, body))

    def texts(self) -> Iterator[str]:
        """The traces of what was gathered, by the codes of their pieces."""
        in_order = self._database.execute("SELECT piece, body FROM event ORDER BY piece, at, seq")
        for code, events in groupby(in_order, key=itemgetter(0)):
            yield trace_head(self._card(code))
            yield from (body for _, body in events)
            yield "</trace>\n"


def doing(row: Recorded, fact: Fact, card: Card) -> Doing:
    """What a row says of its piece."""
    match fact:
        case PieceOpened():
            return Doing("opened", COMPLETE)
        case PieceSpoiled():
            return Doing("spoiled", COMPLETE, row.station)
        case StepStarted():
            return Doing(card.stops[fact.step].label, START, row.station)
        case StepInterrupted():
            return Doing(card.stops[fact.step].label, ABORTED, row.station)
        case StepDone():
            return Doing(card.stops[fact.step].label, COMPLETE, row.station)
        case StepAssumed():
            return Doing(card.stops[fact.step].label, UNKNOWN)
    assert_never(fact)


def event_text(row: Recorded, does: Doing, zone: ZoneInfo) -> str:
    """An event of a trace; `seq` in it is the row's number in the ledger."""
    at = rfc3339(local(row.occurred_at, zone))
    return (
        f"<event>{string('concept:name', does.activity)}{string('lifecycle:transition', does.transition)}"
        f'<date key="time:timestamp" value="{at}"/>'
        f"{string('org:resource', does.resource)}{string('badge', row.badge)}"
        f'<int key="seq" value="{row.seq}"/></event>\n'
    )


def trace_head(card: Card) -> str:
    """The beginning of a piece's trace."""
    said = {"concept:name": card.code, **{name: getattr(card, name) for name in OF_PIECE}}
    return f"<trace>{''.join(string(key, value) for key, value in said.items())}\n"


@lru_cache(REMEMBERED)
def string(key: str, value: str | None) -> str:
    """A text as an attribute; nothing for None."""
    return "" if value is None else f'<string key="{key}" value={quoteattr(harmless(value))}/>'
