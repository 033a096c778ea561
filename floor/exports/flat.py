"""The ledger as CSV (RFC 4180): a line for each row, a column for each thing that an event can say.

Never writes what is nested in an event: the quotes of a job's lines, the settings of a piece's route.
"""

import csv
from collections.abc import Callable, Iterable, Iterator
from decimal import Decimal
from functools import lru_cache
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from msgspec import inspect

from floor.exports.moments import local, rfc3339
from floor.exports.pieces import REMEMBERED, PieceCard, Pieces
from floor.exports.scratch import scratch
from floor.exports.window import EVERYTHING, Window
from shared.events.base import Event
from shared.events.reads import Read
from shared.events.recorded import KINDS, Recorded, kind_of, read_of
from shared.spreadsheet import text_cell

Cell = str | int | float | Decimal
Teller = Callable[[Any], Cell]
"""How a field becomes a cell."""

ROW = ("seq", "kind", "occurred_at", "local_time", "recorded_at", "station", "badge", "device", "read_id")
READ = ("read", "outcome", "refused_for", "say")
PIECE = ("job", "piece", "design", "item", "colour", "size")
"""They stand at every row about a piece, though most events say only which piece it is."""
STEP = "step"
"""The step as people say it; the event has its index in the piece's route."""

_text = lru_cache(maxsize=4_000)(text_cell)
"""Names of stations, steps and items come again and again."""


def _listed(values: tuple[object, ...]) -> str:
    return _text(" ".join(map(str, values)))


def _number(value: Cell) -> Cell:
    return value


def _teller(type_: inspect.Type) -> Teller | None:
    """How a field of a type is told; None for what has no room in a cell."""
    match type_:
        case inspect.UnionType():
            return next(filter(None, map(_teller, type_.types)), None)
        case inspect.StrType() | inspect.LiteralType():
            return _text
        case inspect.DateTimeType():
            return rfc3339
        case inspect.IntType() | inspect.FloatType() | inspect.DecimalType():
            return _number
        case inspect.VarTupleType() if _teller(type_.item_type):
            return _listed
    return None


def _flat_fields(event: type[Event]) -> dict[str, Teller]:
    known = inspect.type_info(event)
    assert isinstance(known, inspect.StructType), "every event is a struct"
    tellers = ((field.name, _teller(field.type)) for field in known.fields if field.name != STEP)
    return {name: teller for name, teller in tellers if teller}


_FLAT = {event: _flat_fields(event) for event in KINDS}
COLUMNS = tuple(
    dict.fromkeys((*ROW, *READ, *PIECE, STEP, "event", *(name for event in _FLAT for name in _FLAT[event])))
)
_PLACE = {name: n for n, name in enumerate(COLUMNS)}
_OWN = {
    event: tuple((_PLACE[name], name, teller) for name, teller in fields.items()) for event, fields in _FLAT.items()
}
_OF_ROW, _OF_READ, _OF_PIECE = (slice(_PLACE[names[0]], _PLACE[names[-1]] + 1) for names in (ROW, READ, PIECE))
LOCAL_CHARS = len("2026-11-23 09:00:00")


class _Echo:
    """What csv writes to: it hands back each line, which then comes out of `writerow`."""

    def write(self, line: str) -> str:
        return line


def csv_lines(rows: Iterable[Recorded], zone: ZoneInfo, window: Window = EVERYTHING) -> Iterator[bytes]:
    """The lines of the file, the names of the columns first, each with its CRLF, in UTF-8.

    `rows` are all rows of the ledger from the first on, for they say what a piece is. Moments are RFC 3339 in UTC,
    `local_time` is what the clocks of the shop showed. Every text is in quotes, numbers are not.
    """
    writerow: Callable[[Iterable[Cell]], Any] = csv.writer(
        _Echo(), quoting=csv.QUOTE_NONNUMERIC, lineterminator="\r\n"
    ).writerow
    yield writerow(COLUMNS).encode()
    with scratch() as database:
        pieces = Pieces(database)
        known = lru_cache(REMEMBERED)(lambda code: _known(pieces.card(code)))
        for row in window.of(pieces.noted(rows)):
            yield writerow(_cells(row, known, zone)).encode()


def _cells(row: Recorded, known: Callable[[str], "_Known"], zone: ZoneInfo) -> list[Cell]:
    event = row.event
    cells: list[Cell] = [""] * len(COLUMNS)
    cells[_OF_ROW] = _row_cells(row, zone)
    for place, name, teller in _OWN[type(event)]:
        value = getattr(event, name)
        if value is not None:
            cells[place] = teller(value)
    if (read := read_of(event)) is not None:
        cells[_OF_READ] = _read_cells(read)
    if (code := getattr(event, "piece", None)) is not None:
        piece = known(code)
        cells[_OF_PIECE] = piece.cells
        if (step := getattr(event, STEP, None)) is not None:
            cells[_PLACE[STEP]] = piece.steps[step]
    return cells


def _row_cells(row: Recorded, zone: ZoneInfo) -> tuple[Cell, ...]:
    at = row.occurred_at
    return (
        row.seq,
        kind_of(row.event),
        rfc3339(at),
        rfc3339(local(at, zone))[:LOCAL_CHARS].replace("T", " "),
        rfc3339(row.recorded_at),
        _text(row.station or ""),
        _text(row.badge or ""),
        _text(row.device or ""),
        text_cell(row.read_id or ""),
    )


def _read_cells(read: Read) -> tuple[Cell, ...]:
    answer = read.answer
    return _text(read.text), answer.outcome, answer.reason or "", _text(answer.say)


class _Known(NamedTuple):
    """What stands at every row about a piece."""

    cells: tuple[Cell, ...]
    steps: tuple[Cell, ...]


def _known(card: PieceCard) -> _Known:
    cells = card.job, card.code, card.design, card.item, card.colour, card.size
    return _Known(tuple(map(_text, cells)), tuple(_text(stop.label) for stop in card.stops))
