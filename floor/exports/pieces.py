"""What the ledger said of each piece when it was opened.

Never knows what became of a piece.
"""

import sqlite3
from collections.abc import Iterable, Iterator
from functools import lru_cache

import msgspec
from msgspec import Struct

from shared.events.jobs import JobAdded, PieceOpened
from shared.events.recorded import Recorded
from shared.route import Step

REMEMBERED = 2_000
"""Pieces that are looked up without a question to the disk: more than lie about on a floor."""


class Stop(Struct, frozen=True, array_like=True):
    """A step of a piece's route, as far as an export names it."""

    key: str
    event: str
    place: str

    @property
    def label(self) -> str:
        """As people say it: "cure", or "cure back"."""
        return f"{self.key} {self.place}".strip()


class PieceCard(Struct, frozen=True, array_like=True):
    """A piece as it was opened."""

    code: str
    job: str
    design: str
    item: str
    colour: str
    size: str
    remake_of: str | None
    stops: tuple[Stop, ...]


def _stop(step: Step) -> Stop:
    return Stop(step.key, step.event, step.place)


class Pieces:
    """The cards of all pieces that were opened so far."""

    def __init__(self, database: sqlite3.Connection) -> None:
        database.execute("CREATE TABLE line (job TEXT, number INTEGER, body BLOB, PRIMARY KEY (job, number))")
        database.execute("CREATE TABLE piece (code TEXT PRIMARY KEY, body BLOB) WITHOUT ROWID")
        self._database = database
        self._encode = msgspec.msgpack.Encoder().encode
        self._decode = msgspec.msgpack.Decoder(PieceCard).decode
        self._line = lru_cache(maxsize=16)(self._line_of)

    def noted(self, rows: Iterable[Recorded]) -> Iterator[Recorded]:
        """The same rows; the pieces among them are known from then on."""
        for row in rows:
            self.note(row)
            yield row

    def note(self, row: Recorded) -> None:
        """If the row says what a piece is, it is known from now on."""
        if type(row.event) is PieceOpened:
            self._note_piece(row.event)
        elif type(row.event) is JobAdded:
            self._note_job(row.event)

    def _note_job(self, event: JobAdded) -> None:
        lines = ((event.job, line.number, self._encode((line.design, line.item, line.colour))) for line in event.lines)
        self._database.executemany("INSERT INTO line VALUES (?, ?, ?)", lines)

    def _note_piece(self, event: PieceOpened) -> None:
        card = PieceCard(
            event.piece,
            event.job,
            *self._line(event.job, event.line),
            event.size,
            event.remake_of,
            tuple(_stop(step) for step in event.route),
        )
        self._database.execute("INSERT INTO piece VALUES (?, ?)", (event.piece, self._encode(card)))

    def card(self, code: str) -> PieceCard:
        """The card of a piece. Raises KeyError for one that was not opened."""
        found = self._database.execute("SELECT body FROM piece WHERE code = ?", (code,)).fetchone()
        if found is None:
            raise KeyError(code)
        return self._decode(found[0])

    def _line_of(self, job: str, number: int) -> tuple[str, str, str]:
        found = self._database.execute("SELECT body FROM line WHERE job = ? AND number = ?", (job, number)).fetchone()
        return msgspec.msgpack.decode(found[0], type=tuple[str, str, str])
