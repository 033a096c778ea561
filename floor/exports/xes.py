"""The ledger as XES (IEEE 1849-2016): for each piece a trace of what was done to it, for programs that study processes.

Never tells what was undone: a trace is how it was, as far as is known now.
"""

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from functools import lru_cache
from itertools import groupby
from operator import attrgetter, itemgetter
from typing import NamedTuple, assert_never
from xml.sax.saxutils import quoteattr

from floor.core.folds.fold import fold
from floor.core.state.floor import Floor
from floor.core.state.piece import StepFact
from floor.core.times.cycle import Walks
from floor.exports.moments import local, rfc3339
from floor.exports.pieces import REMEMBERED, PieceCard, Pieces
from floor.exports.scratch import scratch
from floor.exports.window import EVERYTHING, Window
from floor.ledger.row import microseconds, moment
from shared.events.jobs import PieceOpened
from shared.events.reads import PieceSpoiled, StepAssumed, StepDone, StepInterrupted, StepStarted, Undone
from shared.events.recorded import Recorded
from shared.files.shop import Shop
from shared.harmless import harmless

HEAD = """<?xml version="1.0" encoding="UTF-8"?>
<log xes.version="1849.2016" xes.features="" xmlns="http://www.xes-standard.org/">
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

DERIVED = '<boolean key="derived" value="true"/>'
OPENED = -1
"""Stands for the opening of a piece as if it were the step before its first."""

Fact = PieceOpened | PieceSpoiled | StepFact
FACTS = (PieceOpened, PieceSpoiled, StepStarted, StepInterrupted, StepDone, StepAssumed)


class Doing(NamedTuple):
    """What an event of a trace says: the activity, where it is in its life, and at which resource, if that is known."""

    activity: str
    transition: str
    resource: str | None = None


def xes_document(rows: Iterable[Recorded], shop: Shop, window: Window = EVERYTHING) -> Iterator[bytes]:
    """The document, a piece of it at a time; `rows` are all from the first on, and read to their end before.

    A trace holds what occurred in the window, in the order of the moments; a piece without any has no trace.
    """
    with scratch() as database:
        traces = Traces(database, shop)
        for row in rows:
            traces.gather(row, window)
        yield HEAD.encode()
        yield from (text.encode() for text in traces.texts())
        yield FOOT.encode()


class Told(NamedTuple):
    """A row that is about a piece. `body` is what is told of it: nothing outside the window."""

    seq: int
    piece: str
    at: int
    step: int | None
    done: bool
    station: str | None
    badge: str | None
    body: str | None


class Traces:
    """Gathers the rows of a ledger by piece, for they lie far apart in the ledger."""

    def __init__(self, database: sqlite3.Connection, shop: Shop) -> None:
        columns = "seq INTEGER PRIMARY KEY, piece TEXT, at INTEGER, step INTEGER, done INTEGER, station, badge, body"
        database.execute(f"CREATE TABLE event ({columns})")
        self._database = database
        self._zone = shop.hours.zone
        self._pieces = Pieces(database)
        self._floor = Floor()
        self._walks = Walks(self._floor, shop)
        self._card = lru_cache(REMEMBERED)(self._pieces.card)

    def gather(self, row: Recorded, window: Window) -> None:
        """Take in the next row of the ledger."""
        event = row.event
        self._pieces.note(row)
        fold(self._floor, row)
        if isinstance(event, Undone):
            self._database.executemany("DELETE FROM event WHERE seq = ?", ((seq,) for seq in event.rows))
        elif isinstance(event, FACTS):
            told = self._told(row, event, window)
            self._database.execute("INSERT INTO event VALUES (?, ?, ?, ?, ?, ?, ?, ?)", told)

    def _told(self, row: Recorded, event: Fact, window: Window) -> Told:
        at = microseconds(row.occurred_at)
        step: int | None = OPENED
        done, body = True, ""
        if not isinstance(event, PieceOpened):
            step, done = getattr(event, "step", None), isinstance(event, StepDone)
            does = doing(row, event, self._card(event.piece))
            body = event_text(does, self._local(row.occurred_at), row.seq, row.badge)
        said = body if window.holds(row) else None
        return Told(row.seq, event.piece, at, step, done, row.station, row.badge, said)

    def texts(self) -> Iterator[str]:
        """The traces of what was gathered, by the codes of their pieces."""
        in_order = map(Told._make, self._database.execute("SELECT * FROM event ORDER BY piece, at, seq"))
        for code, rows in groupby(in_order, key=attrgetter("piece")):
            told = list(rows)
            if any(row.body is not None for row in told):
                yield from self._trace(code, self._card(code), told)

    def _trace(self, code: str, card: PieceCard, rows: Sequence[Told]) -> Iterator[str]:
        opened = next(row for row in rows if row.step == OPENED)
        yield trace_head(card, self._local(moment(opened.at)))
        lines = [line for row in rows if row.body is not None for line in self._lines(code, card, row)]
        yield from (body for _, body in sorted(lines, key=itemgetter(0)))
        yield "</trace>\n"

    def _lines(self, code: str, card: PieceCard, row: Told) -> Iterator[tuple[datetime, str]]:
        """What a row tells, and when that was: of a step that was scanned at its end alone, also its start."""
        if row.done and row.step is not None and row.step != OPENED:
            time = self._walks.of(self._floor.pieces[code])[row.step]
            if time.derived and time.started is not None:
                does = Doing(card.stops[row.step].label, START, row.station)
                yield time.started, event_text(does, self._local(time.started), row.seq, row.badge, DERIVED)
        yield moment(row.at), row.body or ""

    def _local(self, at: datetime) -> str:
        return rfc3339(local(at, self._zone))


def doing(row: Recorded, fact: PieceSpoiled | StepFact, card: PieceCard) -> Doing:
    """What a row says of its piece."""
    match fact:
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


def event_text(does: Doing, at: str, seq: int, badge: str | None, more: str = "") -> str:
    """An event of a trace; `seq` in it is the number of its row in the ledger, of a derived start that of its end."""
    return (
        f"<event>{string('concept:name', does.activity)}{string('lifecycle:transition', does.transition)}"
        f'<date key="time:timestamp" value="{at}"/>{more}'
        f"{string('org:resource', does.resource)}{string('badge', badge)}"
        f'<int key="seq" value="{seq}"/></event>\n'
    )


def trace_head(card: PieceCard, opened: str) -> str:
    """The beginning of a piece's trace. That it was opened is no event of it: its cycle begins with its first step."""
    said = {"concept:name": card.code, **{name: getattr(card, name) for name in OF_PIECE}}
    return f'<trace>{"".join(map(string, said, said.values()))}<date key="opened" value="{opened}"/>\n'


@lru_cache(REMEMBERED)
def string(key: str, value: str | None) -> str:
    """A text as an attribute; nothing for None."""
    return "" if value is None else f'<string key="{key}" value={quoteattr(harmless(value))}/>'
