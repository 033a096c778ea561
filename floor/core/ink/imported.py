"""A printer's log of ink as a CSV file: read whole, or refused whole.

Never decides what a reading means: it is checked like one that was typed.
"""

import csv
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from decimal import Decimal
from hashlib import sha256

from msgspec import Struct

from floor.core.ink.readings import InkReading, Said, Wrong, facts_of, wrongs
from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from shared.codes import BadCode, parse
from shared.events.recorded import Fact
from shared.files.csvtext import NO_MORE, QUOTES, Cells, beyond_columns, csv_lines, line_problem
from shared.files.ink_import import ML, InkImport
from shared.files.problems import Problem, ProblemsFound
from shared.files.shop import Shop
from shared.hours import in_utc
from shared.money import typed_amount
from shared.route import INKS, InkName

DELIMITERS = ",;\t"
Finding = tuple[str | None, str, str]
"""The column, what was found there, what is allowed."""
OnLine = Callable[[int], None]
_DIGITS = re.compile("[0-9]{10,18}")


class Imported(Struct, frozen=True):
    """What a log comes to: the facts that are new, and how many readings are recorded already."""

    facts: tuple[Fact, ...]
    known: int


def read_import(
    text: str, file: str, floor: Floor, shop: Shop, now: datetime, on_line: OnLine = lambda _number: None
) -> Imported:
    """The readings of a log as facts. A line's read ids follow from what it says, so a line twice counts once.

    `on_line` is told the number of each line that was read.

    Raises ProblemsFound with every line that cannot be used.
    """
    log = _Log(file, floor, shop, now)
    facts = log.facts(text, on_line)
    if log.problems:
        raise ProblemsFound(log.problems)
    every = {fact.read_id: fact for fact in facts}
    new = tuple(fact for read_id, fact in every.items() if read_id not in floor.supplies.ink.imported)
    return Imported(new, len(facts) - len(new))


class _Log:
    """One log on its way to facts; what is wrong with it is collected."""

    def __init__(self, file: str, floor: Floor, shop: Shop, now: datetime) -> None:
        self.problems: list[Problem] = []
        self._file = file
        self._floor = floor
        self._shop = shop
        self._now = now
        self._columns = shop.file.ink_import

    def facts(self, text: str, on_line: OnLine) -> list[Fact]:
        rows = csv_lines(text, _delimiter(text.removeprefix("\ufeff"), self._columns.piece))
        facts: list[Fact] = []
        try:
            if self._check_columns(rows.fieldnames or ()):
                for cells in rows:
                    facts += self._line(rows.line_num, cells)
                    on_line(rows.line_num)
        except csv.Error as error:
            self._tell(rows.reader.line_num, None, str(error), QUOTES)
        return facts

    def _line(self, number: int, cells: Cells) -> Iterator[Fact]:
        line = _Line(self._columns, self._floor, self._shop, cells)
        reading = line.reading(self._now)
        wrong = [*line.wrong, *(line.placed(wrongs(self._floor, self._shop, reading)) if reading else ())]
        for column, found, allowed in wrong:
            self._tell(number, column, found, allowed)
        if reading and not wrong:
            yield from facts_of(self._shop, reading, self._file, line.read_id(reading))

    def _check_columns(self, names: Sequence[str]) -> bool:
        missing = [name for name in dict.fromkeys(self._columns.named()) if name not in names]
        inks = [name for ink in INKS for name in self._columns.ink(ink)]
        if missing or not {*inks} & {*names}:
            wanted = ", ".join(missing or inks)
            self._tell(1, None, ", ".join(names), f"the columns of [ink_import] in the shop file; not there: {wanted}")
            return False
        return True

    def _tell(self, line: int, column: str | None, found: str, allowed: str) -> None:
        self.problems.append(line_problem(self._file, line, found, allowed, column))


class _Line:
    """One line of a log; what of it cannot be read is collected."""

    def __init__(self, columns: InkImport, floor: Floor, shop: Shop, cells: Cells) -> None:
        self.wrong: list[Finding] = []
        self._columns = columns
        self._floor = floor
        self._shop = shop
        self._cells = cells

    def reading(self, now: datetime) -> InkReading | None:
        """What the line says, where all of it can be read."""
        if beyond := beyond_columns(self._cells):
            self.wrong.append((None, beyond, NO_MORE))
        piece, at = self._piece(), self._moment(now)
        ml = {ink: sum_ml for ink in INKS if (sum_ml := self._ml(ink)) is not None}
        if not ml and not self.wrong:
            self.wrong.append((self._columns.ink("white")[0], "", "the ink of the print"))
        if piece is None or at is None or self.wrong:
            return None
        return InkReading(piece=piece, place=self._cell(self._columns.place) or None, ml=ml, at=at)

    def placed(self, wrong: Iterable[Wrong]) -> Iterator[Finding]:
        """What is wrong with the reading, by the columns that it was read from and what stands there."""
        columns: dict[Said, list[str]] = {ink: self._columns.ink(ink) for ink in INKS}
        columns |= {"place": [self._columns.place], "at": [self._columns.at]}
        for said, _, allowed in wrong:
            names = columns[said]
            yield " + ".join(names), " + ".join(filter(None, map(self._cell, names))), allowed

    def read_id(self, reading: InkReading) -> str:
        """It hangs on what the line says, and on nothing else."""
        said = (reading.piece.code, reading.place, self._cell(self._columns.at), *sorted(reading.ml.items()))
        return f"ink {sha256(repr(said).encode()).hexdigest()[:32]}"

    def _cell(self, column: str) -> str:
        return self._cells.get(column, "").strip()

    def _piece(self) -> Piece | None:
        text = self._cell(self._columns.piece)
        found = {code.text for part in (text, *_DIGITS.findall(text)) if not isinstance(code := parse(part), BadCode)}
        pieces = [self._floor.pieces[code] for code in found if code in self._floor.pieces]
        if len(pieces) != 1:
            self.wrong.append((self._columns.piece, text, "the code of one piece of this floor"))
        return pieces[0] if len(pieces) == 1 else None

    def _moment(self, now: datetime) -> datetime | None:
        text = self._cell(self._columns.at)
        if not text:
            return now
        form = self._columns.at_format
        try:
            at = _moment(text, form, self._shop)
        except (ValueError, OverflowError):
            allowed = f"a moment of the form {form}" if form else "a moment such as 2026-11-25T14:30"
            self.wrong.append((self._columns.at, text, allowed))
            return None
        if at > now:
            self.wrong.append((self._columns.at, text, "a moment that has come"))
        return at

    def _ml(self, ink: InkName) -> Decimal | None:
        """The columns of an ink added up; None where all of them are empty."""
        unit = self._columns.unit
        cells = {column: text for column in self._columns.ink(ink) if (text := self._cell(column))}
        found = {column: typed_amount(text) for column, text in cells.items()}
        bad = [column for column, number in found.items() if number is None or number < 0]
        self.wrong += [(column, cells[column], f"a number of {unit} from 0 on, such as 2.35 or 2,35") for column in bad]
        return sum((number * ML[unit] for number in found.values() if number), Decimal(0)) if found else None


def _moment(text: str, form: str | None, shop: Shop) -> datetime:
    """Raises ValueError and OverflowError for what is no moment."""
    if form is None:
        return shop.hours.moment(text)
    return in_utc(datetime.strptime(text, form), shop.hours.zone)  # noqa: DTZ007 - the shop's zone, unless it says one


def _delimiter(text: str, column: str) -> str:
    """The one that makes a column of the first line; a comma where none does."""
    first = text.partition("\n")[0].strip("\r")
    return next((each for each in DELIMITERS if column in _split(first, each)), ",")


def _split(line: str, delimiter: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=delimiter), [])
    except csv.Error:
        return []
