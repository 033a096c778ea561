"""Scans that were written down on paper, as a CSV file: read whole, or refused whole.

Never decides on a scan: it goes through the same rules as any other.
"""

import csv
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from hashlib import sha256
from io import StringIO
from typing import Any

from shared.problems import Problem, ProblemsFound
from shared.scan import Scan
from shared.shop import Shop
from shared.tomltext import shown_or_nothing

COLUMNS = ("occurred_at", "code", "station", "badge")
"""The last one may be left out, or left empty."""
DEVICE = "backfill"

Row = Mapping[str | Any, str | Any]
"""Column to cell; None to the cells beyond the last column."""


def read_backfill(text: str, file: str, shop: Shop, now: datetime) -> list[tuple[int, Scan]]:
    """Each scan with the line it stands on, in the order in which they occurred.

    A line's read id follows from what it says, so that the same line sent twice is recorded once.
    Raises ProblemsFound with every line that cannot be read.
    """
    scans: list[tuple[int, Scan]] = []
    problems: list[Problem] = []
    rows = csv.DictReader(StringIO(text.removeprefix("\ufeff"), newline=""), restval="", strict=True)
    try:
        _check_columns(rows.fieldnames or (), file)
        for row in rows:
            at = _moment(row["occurred_at"], shop)
            wrong = [_problem(file, rows.line_num, found, allowed) for found, allowed in _wrong(row, at, shop, now)]
            problems += wrong
            scans += [] if wrong or at is None else [(rows.line_num, _scan(row, at))]
    except csv.Error as error:
        allowed = "CSV, with a quote at both ends of a cell or at none"
        problems.append(_problem(file, rows.reader.line_num, str(error), allowed))
    if problems:
        raise ProblemsFound(problems)
    return sorted(scans, key=lambda each: (each[1].at, each[0]))


def _check_columns(names: Iterable[str], file: str) -> None:
    if not set(COLUMNS[:3]) <= set(names):
        raise ProblemsFound([_problem(file, 1, ", ".join(names), f"the columns {', '.join(COLUMNS)}")])


def _problem(file: str, line: int, found: str, allowed: str) -> Problem:
    return Problem(
        where=f"{file}: line {line}",
        found=shown_or_nothing(found),
        allowed=allowed,
        do="Mend the line; nothing was recorded",
    )


def _wrong(row: Row, at: datetime | None, shop: Shop, now: datetime) -> Iterator[tuple[str, str]]:
    """All that is wrong with a line: what was found, and what is allowed."""
    if at is None:
        yield row["occurred_at"], "a moment such as 2026-11-25T14:30"
    elif at > now:
        yield row["occurred_at"], "a moment that has come"
    if not row["code"].strip():
        yield "", "a code"
    if (station := row["station"].strip()) not in shop.stations:
        yield station, f"a station: {', '.join(shop.stations)}"
    if (badge := row.get("badge", "").strip()) and badge not in shop.badges:
        yield badge, f"a badge: {', '.join(shop.badges)}"
    if beyond := row.get(None):
        yield ", ".join(beyond), "no more cells than columns"


def _scan(row: Row, at: datetime) -> Scan:
    code, station, badge = (row.get(column, "").strip() for column in COLUMNS[1:])
    digest = sha256("\n".join((at.isoformat(), code, station, badge)).encode()).hexdigest()
    return Scan(
        read_id=f"backfill {digest[:32]}", text=code, at=at, device=DEVICE, station=station, badge=badge or None
    )


def _moment(text: str, shop: Shop) -> datetime | None:
    try:
        return shop.hours.moment(text.strip())
    except ValueError:
        return None
