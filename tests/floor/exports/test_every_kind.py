"""Whatever kind of event the ledger gets, every export goes through, and tells it or leaves it out."""

import csv
import io
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floor.exports.epcis import epcis_events
from floor.exports.flat import csv_lines
from floor.exports.vocabulary import Names
from floor.exports.xes import xes_document
from shared.events.base import Event
from shared.events.jobs import JobAdded, PieceOpened
from shared.events.recorded import KINDS, Fact, kind_of
from shared.events.supplies import LotOpened
from tests.floor.exports.day import NEW_YORK, ledger_of, row_of
from tests.making import Play
from tests.shared.test_events import any_struct

BEGINNINGS = (JobAdded, PieceOpened)
"""They make jobs and pieces, all others are about those there are."""
ABOUT_WHAT_IS = [event for event in KINDS if event not in BEGINNINGS]


def about(event: Event, piece: str) -> Event:
    """The same event about things that there are."""
    known: dict[str, Any] = {"piece": piece, "step": 0, "rows": (), "remake": piece, "job": "J0001"}
    fields = event.__struct_fields__
    return msgspec.structs.replace(event, **{name: value for name, value in known.items() if name in fields})


@pytest.mark.parametrize("kind", ABOUT_WHAT_IS, ids=lambda kind: kind.__name__)
@settings(max_examples=20)
@given(data=st.data())
def test_an_event_of_any_kind_is_a_line_of_the_csv_and_breaks_no_other_export(
    kind: type[Event], data: st.DataObject
) -> None:
    play = Play()
    [piece] = play.job()
    told = about(data.draw(any_struct(kind)), piece)
    rows = [*play.rows, msgspec.structs.replace(play.rows[-1], seq=len(play.rows) + 1, event=told)]
    text = b"".join(csv_lines(rows, NEW_YORK)).decode()
    *_, last = csv.DictReader(io.StringIO(text, newline=""))
    assert last["kind"] == kind_of(told)
    assert b"".join(xes_document(rows, play.shop)).endswith(b"</log>\n")


def test_a_lot_is_told_in_the_csv_and_left_out_of_what_is_about_pieces() -> None:
    play = Play()
    event = LotOpened(material="blank", lot="=L1", item="heavy tee", at_station="printer 1")
    play.record([Fact(event=event, occurred_at=play.now)])
    [line] = csv.DictReader(io.StringIO(b"".join(csv_lines(play.rows, NEW_YORK)).decode(), newline=""))
    assert [line[name] for name in ("kind", "material", "lot", "item", "at_station")] == [
        *("lot opened", "blank", "'=L1", "heavy tee", "printer 1"),
    ]
    ledger = ledger_of(play)
    names = Names("https://prints.example/floor/")
    assert list(epcis_events(ledger.stored(), lambda seq: row_of(ledger, seq), names, NEW_YORK)) == []
    assert b"<trace>" not in b"".join(xes_document(play.rows, play.shop))
