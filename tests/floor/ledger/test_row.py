"""Rows, their hashes and their moments."""

import hashlib
import json
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as some

from floor.ledger.errors import Damaged, TooNew
from floor.ledger.row import Row, digest, draft, microseconds, moment, recorded, replayed, sealed
from shared.events.recorded import BODY_VERSION
from tests.floor.ledger.facts import a_read, assumed, noon

text = some.text(some.characters(exclude_categories=["Cs"]))
rows = some.builds(
    Row,
    seq=some.integers(1, 2**53),
    stream=text,
    version=some.integers(1, 2**53),
    kind=text,
    occurred_at=some.integers(-(2**53), 2**53),
    recorded_at=some.integers(-(2**53), 2**53),
    read_id=some.none() | text,
    station=some.none() | text,
    badge=some.none() | text,
    device=some.none() | text,
    body=text,
    body_version=some.integers(1, 9),
    hash=some.just(""),
)


@given(row=rows, before=some.just("") | some.text("0123456789abcdef", min_size=64, max_size=64))
def test_anybody_can_compute_the_hash_with_a_json_writer_and_sha_256(row: Row, before: str) -> None:
    array = json.dumps([before, *row[:-1]], ensure_ascii=False, separators=(",", ":"))
    assert digest(row, before) == hashlib.sha256(array.encode()).hexdigest()


@given(at=some.datetimes(timezones=some.timezones()))
def test_a_moment_is_kept_to_the_microsecond(at: datetime) -> None:
    try:
        in_utc = at.astimezone(UTC)
    except OverflowError:  # within hours of year 1 or 9999
        return
    assert moment(microseconds(at)) == in_utc


def test_a_moment_is_counted_from_1970_in_utc() -> None:
    assert microseconds(datetime(1970, 1, 2, tzinfo=UTC)) == 86_400_000_000
    assert microseconds(datetime(1970, 1, 1, tzinfo=UTC) - timedelta(microseconds=1)) == -1


def test_sealing_goes_on_where_the_ledger_ended() -> None:
    drafts = [draft(assumed(n, piece), 8 + n, 0) for n, piece in enumerate(["10", "11", "10"])]
    done = sealed(drafts, {"10": 4}, before="ab")
    assert [row.version for row in done] == [5, 1, 6]
    assert done[0].hash == digest(done[0], "ab")
    assert done[2].hash == digest(done[2], done[1].hash)


def _stored(body: str, version: int = BODY_VERSION) -> Row:
    return draft(a_read("r-1"), 7, microseconds(noon))._replace(body=body, body_version=version)


@pytest.mark.parametrize("body", ["", "{}", "[1]", '{"kind":"step done"}', '{"kind":"never heard of"}', "{"])
def test_a_body_that_is_no_event_is_damage_and_names_its_row(body: str) -> None:
    with pytest.raises(Damaged, match="row 7"):
        recorded(replayed(_stored(body)))


def test_a_body_of_a_newer_program_says_so() -> None:
    with pytest.raises(TooNew, match="install the newer"):
        recorded(replayed(_stored("{}", BODY_VERSION + 1)))
