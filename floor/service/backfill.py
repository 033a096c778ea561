"""Scans that were written down on paper, as a CSV file: read whole, or refused whole.

Never decides on a scan: it goes through the same rules as any other.
"""

import csv
from collections.abc import Iterable, Iterator
from datetime import datetime
from hashlib import sha256

from shared.files.csvtext import NO_MORE, QUOTES, Cells, beyond_columns, csv_lines, line_problem
from shared.files.problems import Problem, ProblemsFound
from shared.files.shop import Shop
from shared.scan import BACKFILL, Scan

COLUMNS = ("occurred_at", "code", "station", "badge")
"""The last one may be left out, or left empty."""


def read_backfill(text: str, file: str, shop: Shop, now: datetime) -> list[tuple[int, Scan]]:
    """Each scan with the line it stands on, in the order in which they occurred.

    A line's read id follows from what it says, so that the same line sent twice is recorded once.
    Raises ProblemsFound with every line that cannot be read.
    """
    scans: list[tuple[int, Scan]] = []
    problems: list[Problem] = []
    rows = csv_lines(text)
    try:
        _check_columns(rows.fieldnames or (), file)
        for row in rows:
            at = _moment(row["occurred_at"], shop)
            wrong = [
                line_problem(file, rows.line_num, found, allowed, known=known)
                for found, allowed, known in _wrong(row, at, shop, now)
            ]
            problems += wrong
            scans += [] if wrong or at is None else [(rows.line_num, _scan(row, at))]
    except csv.Error as error:
        problems.append(line_problem(file, rows.reader.line_num, str(error), QUOTES))
    if problems:
        raise ProblemsFound(problems)
    return sorted(scans, key=lambda each: (each[1].at, each[0]))


def _check_columns(names: Iterable[str], file: str) -> None:
    if not set(COLUMNS[:3]) <= set(names):
        raise ProblemsFound([line_problem(file, 1, ", ".join(names), f"the columns {', '.join(COLUMNS)}")])


def _wrong(row: Cells, at: datetime | None, shop: Shop, now: datetime) -> Iterator[tuple[str, str, Iterable[str]]]:
    """All that is wrong with a line: what was found, what is allowed, and the names that may have been meant."""
    if at is None:
        yield row["occurred_at"], "a moment such as 2026-11-25T14:30", ()
    elif at > now:
        yield row["occurred_at"], "a moment that has come", ()
    if not row["code"].strip():
        yield "", "a code", ()
    if (station := row["station"].strip()) not in shop.stations:
        yield station, f"a station: {', '.join(shop.stations)}", shop.stations
    if (badge := row.get("badge", "").strip()) and badge not in shop.badges:
        yield badge, f"a badge: {', '.join(shop.badges)}", shop.badges
    if beyond := beyond_columns(row):
        yield beyond, NO_MORE, ()


def _scan(row: Cells, at: datetime) -> Scan:
    code, station, badge = (row.get(column, "").strip() for column in COLUMNS[1:])
    digest = sha256("\n".join((at.isoformat(), code, station, badge)).encode()).hexdigest()
    return Scan(
        read_id=f"backfill {digest[:32]}",
        text=code,
        at=at,
        device=BACKFILL,
        station=station,
        badge=badge or None,
        typed=True,
    )


def _moment(text: str, shop: Shop) -> datetime | None:
    try:
        return shop.hours.moment(text.strip())
    except ValueError:
        return None
