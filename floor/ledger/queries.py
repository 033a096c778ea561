"""The few questions that are put to a ledger in an SQL database, and how their answers are fetched.

Never holds a lock from one page of an answer to the next: a slow reader must not stop the writer.
"""

from collections.abc import Callable, Iterator, Mapping
from itertools import chain
from typing import Any

from sqlalchemy import Connection, Select, TableValuedAlias, bindparam, func, select, update

from floor.ledger.errors import Damaged
from floor.ledger.row import REPLAYED, Head, Row
from floor.ledger.tables import ledger, ledger_head

Fields = tuple[Any, ...]
Fetch = Callable[[Select[Fields], Mapping[str, object]], list[Fields]]
Texts = Callable[[str], TableValuedAlias]
"""A list of texts that is bound to a name, as a table with the column `value`; each database has its own way."""

page_rows = 1_000
last_seq = 2**63 - 1

head = select(ledger_head.c.seq, ledger_head.c.hash)
hash_of = select(ledger.c.hash).where(ledger.c.seq == bindparam("seq"))
shift_head = update(ledger_head).values(seq=ledger_head.c.seq + bindparam("step"))
move_head = (
    update(ledger_head)
    .where(ledger_head.c.hash == bindparam("before"))
    .values(seq=bindparam("seq"), hash=bindparam("hash"))
)


def page_of(*columns: str) -> Select[Fields]:
    """The rows from `after` up to and with `until`, no more than `rows`."""
    return (
        select(*(ledger.c[name] for name in columns))
        .where(ledger.c.seq > bindparam("after"), ledger.c.seq <= bindparam("until"))
        .order_by(ledger.c.seq)
        .limit(bindparam("rows"))
    )


whole_page = page_of(*Row._fields)
replay_page = page_of(*REPLAYED)


def reads(texts: Texts) -> Select[Fields]:
    """The rows of the reads in `ids`."""
    asked = select(texts("ids").c.value)
    return select(*(ledger.c[name] for name in REPLAYED)).where(ledger.c.read_id.in_(asked))


def last_versions(texts: Texts) -> Select[Fields]:
    """Each of the `streams` with its last version, or NULL.

    One look at the end of the index for each: grouping would walk through all that a station ever did.
    """
    asked = texts("streams").c.value
    last = select(func.max(ledger.c.version)).where(ledger.c.stream == asked).scalar_subquery()
    return select(asked, last)


def fetch(connection: Connection, query: Select[Fields], values: Mapping[str, object]) -> list[Fields]:
    """All rows of a query as the driver's own tuples, which spares a tenth of the time of a replay."""
    result = connection.execute(query, values)
    assert result.cursor is not None, "a SELECT has a cursor"
    rows: list[Fields] = list(result.cursor.fetchall())
    result.close()
    return rows


def noted_head(fetch: Fetch) -> Head:
    """The head as it is noted in its own table."""
    rows = fetch(head, {})
    if len(rows) != 1:
        raise Damaged("the head of the ledger is missing; restore the newest good backup")
    if [type(field) for field in rows[0]] != [int, str]:
        raise Damaged("the head of the ledger is no number with its hash; restore the newest good backup")
    return Head(*rows[0])


def walk(fetch: Fetch, page: Select[Fields], after: int, until: int | None, size: int = page_rows) -> Iterator[Fields]:
    """The rows of all pages of a query, each page as new as the moment at which it is fetched."""
    return chain.from_iterable(_pages(fetch, page, after, last_seq if until is None else until, size))


def _pages(fetch: Fetch, page: Select[Fields], after: int, until: int, size: int) -> Iterator[list[Fields]]:
    full = True
    while full:
        rows = fetch(page, {"after": after, "until": until, "rows": size})
        yield rows
        after = rows[-1][0] if rows else after
        full = len(rows) == size
