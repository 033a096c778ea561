"""The ledger as EPCIS: what happened to each piece, and what was declared to be an error."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from floor.exports.epcis import epcis_document, epcis_events
from floor.exports.vocabulary import Names
from floor.exports.window import EVERYTHING, Window
from floor.ledger import Ledger
from shared.codes import CodeType
from shared.events.reads import PieceSpoiled, StepDone
from shared.files.cards import STATION_DOWN
from tests.floor.exports.day import NEW_YORK, UNDO_CARD, Day, ledger_of, row_of
from tests.floor.plays import Act, days, played
from tests.making import LIGHT_WALK, MONDAY, Play, card, walk

Told = dict[str, Any]
NAMES = Names("https://prints.example/floor/")


def told(ledger: Ledger, window: Window = EVERYTHING) -> list[Told]:
    return list(epcis_events(ledger.stored(), lambda seq: row_of(ledger, seq), NAMES, NEW_YORK, window))


def about(events: list[Told], piece: str) -> list[Told]:
    name = NAMES.piece(piece)
    return [event for event in events if name in (*event.get("epcList", ()), *event.get("outputEPCList", ()))]


def standing(events: list[Told]) -> list[Told]:
    wrong = {event["eventID"] for event in events if "errorDeclaration" in event}
    return [event for event in events if event["eventID"] not in wrong]


def test_a_piece_is_made_from_a_blank_and_then_seen_at_every_step() -> None:
    day = Day()
    events = about(told(day.ledger), day.walked)
    ours = "https://prints.example/floor/bizstep/"
    assert [(event["type"], event["bizStep"], event["disposition"]) for event in events] == [
        ("TransformationEvent", "commissioning", "active"),
        ("ObjectEvent", f"{ours}pretreated", "in_progress"),
        ("ObjectEvent", f"{ours}underlayer%20printed", "in_progress"),
        ("ObjectEvent", "inspecting", "conformant"),
        ("ObjectEvent", f"{ours}colour%20printed", "in_progress"),
        ("ObjectEvent", f"{ours}cure%20started", "in_progress"),
        ("ObjectEvent", f"{ours}cured", "in_progress"),
        ("ObjectEvent", "packing", "in_progress"),
    ]


def test_the_blank_is_named_by_item_colour_and_size() -> None:
    day = Day()
    made = about(told(day.ledger), day.walked)[0]
    blank = "https://prints.example/floor/blank/heavy%20tee/navy/M"
    assert made["inputQuantityList"] == [{"epcClass": blank, "quantity": 1}]


def test_an_event_says_where_when_and_for_which_job() -> None:
    day = Day()
    event = about(told(day.ledger), day.walked)[1]
    assert event["readPoint"] == {"id": "https://prints.example/floor/station/pretreat%20booth"}
    assert (event["eventTime"], event["eventTimeZoneOffset"]) == ("2026-11-23T09:01:30-05:00", "-05:00")
    job = {"type": "prodorder", "bizTransaction": "https://prints.example/floor/job/J0001"}
    assert event["bizTransactionList"] == [job]


def test_what_was_undone_is_told_again_with_the_same_words_and_declared_an_error() -> None:
    day = Day()
    events = about(told(day.ledger), day.undone)
    first, again = events[: len(events) // 2], events[len(events) // 2 :]
    assert len(first) == 3  # made, pretreat assumed, underlayer printed
    assert all(event.pop("errorDeclaration")["reason"] == "did_not_occur" for event in again)
    assert sorted(again, key=lambda event: event["eventID"]) == sorted(first, key=lambda event: event["eventID"])


def test_a_piece_whose_first_step_was_undone_is_made_with_the_next_one_that_stands() -> None:
    play = Play()
    (piece,) = play.job()
    play.scan(piece, "printer 1", after_s=60)
    play.scan(piece, "pretreat booth", at=MONDAY + timedelta(seconds=30))
    play.scan(UNDO_CARD, "printer 1", after_s=5)
    made = [event for event in told(ledger_of(play)) if event["type"] == "TransformationEvent"]
    assert [("errorDeclaration" in event, event["eventTime"][11:19]) for event in made] == [
        (False, "09:01:00"),
        (True, "09:01:00"),
        (False, "09:00:30"),
    ]


def test_a_part_of_the_ledger_declares_errors_of_before_it_too() -> None:
    play = Play()
    (piece,) = play.job()
    play.scan(piece, "pretreat booth")
    play.scan(UNDO_CARD, "pretreat booth", after_s=10)
    later = told(ledger_of(play), Window(since=MONDAY + timedelta(seconds=65)))
    assert [(event["eventTime"], event["errorDeclaration"]["declarationTime"]) for event in later] == [
        ("2026-11-23T09:01:00-05:00", "2026-11-23T09:01:10-05:00"),
    ] * 2


def test_a_spoiled_piece_names_the_reason_and_what_replaces_it_which_names_it_in_turn() -> None:
    day = Day()
    events = told(day.ledger)
    spoiled = about(events, day.spoiled)[-1]
    assert (spoiled["bizStep"], spoiled["disposition"]) == ("inspecting", "non_conformant")
    assert spoiled["piecewalk:reason"] == "stain"
    assert spoiled["piecewalk:replacedBy"] == NAMES.piece(day.remake)
    assert about(events, day.remake)[0]["piecewalk:replaces"] == NAMES.piece(day.spoiled)


def test_a_spoiling_that_was_taken_back_no_longer_stands_and_its_remake_was_never_made() -> None:
    day = Day()
    events = told(day.ledger)
    given_up = day.play.floor.pieces[day.saved].remake
    assert given_up is None
    assert "non_conformant" not in {event["disposition"] for event in standing(about(events, day.saved))}
    made = {event["outputEPCList"][0] for event in events if event["type"] == "TransformationEvent"}
    cancelled = [piece.code for piece in day.play.floor.pieces.values() if piece.cancelled]
    assert len(cancelled) == 1
    assert NAMES.piece(cancelled[0]) not in made


def test_a_step_that_nobody_saw_says_so_and_says_no_place() -> None:
    play = Play()
    (piece,) = play.job()
    play.scan(piece, "printer 1")
    assumed = told(ledger_of(play))[1]
    assert assumed["piecewalk:assumed"] is True
    assert "readPoint" not in assumed


def test_a_stay_that_a_press_broke_off_is_told_as_such() -> None:
    play = Play()
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK[:2])
    play.scan(card(CodeType.COMMAND, STATION_DOWN), "press 1", after_s=30)
    *_, begun, broken_off = about(told(ledger_of(play)), piece)
    assert begun["bizStep"] == broken_off["bizStep"]
    assert (begun.get("piecewalk:brokenOff"), broken_off["piecewalk:brokenOff"]) == (None, True)
    assert begun["eventID"] != broken_off["eventID"]


def test_a_print_in_two_places_says_which() -> None:
    day = Day()
    places = [event.get("piecewalk:place") for event in about(told(day.ledger), day.both_sides)]
    assert places == [None, "front", "front", "front", "back"]


def test_a_ticket_that_nobody_has_begun_is_not_told_of() -> None:
    play = Play()
    play.job(sizes={"M": 3})
    assert told(ledger_of(play)) == []


def test_two_exports_give_an_event_the_same_name_and_no_two_events_share_one() -> None:
    ledger = Day().ledger
    once, twice = ([event["eventID"] for event in standing(told(ledger))] for _ in range(2))
    assert once == twice
    assert len(set(once)) == len(once)


def test_nobody_s_hands_are_named() -> None:
    play = Play()
    (piece,) = play.job()
    play.scan(card(CodeType.BADGE, "A"), "pretreat booth")
    play.scan(piece, "pretreat booth")
    assert play.rows[-1].badge == "A"
    assert '"A"' not in json.dumps(told(ledger_of(play)))


@given(days)
def test_what_stands_after_any_day_is_what_the_floor_knows(acts: list[Act]) -> None:
    play = played(acts)
    events = standing(told(ledger_of(play)))
    for piece in play.floor.pieces.values():
        mine = about(events, piece.code)
        seen = [datetime.fromisoformat(event["eventTime"]) for event in mine if event["type"] == "ObjectEvent"]
        spoiled = [piece.spoiled.at] if piece.spoiled else []
        facts = [fact.occurred_at for fact in piece.facts]
        assert sorted(seen) == sorted([*facts, *spoiled])
        assert len(mine) - len(seen) == (1 if piece.facts else 0), "it is made once, if it was begun"


def document(events: list[Told]) -> Told:
    chunks = epcis_document(events, NAMES, datetime(2026, 11, 25, tzinfo=UTC))
    found: Told = json.loads(b"".join(chunks))
    return found


def test_the_document_holds_all_events_and_when_it_was_made() -> None:
    events = told(Day().ledger)
    whole = document(events)
    assert whole["epcisBody"]["eventList"] == events
    assert (whole["schemaVersion"], whole["creationDate"]) == ("2.0", "2026-11-25T00:00:00Z")


def test_an_empty_ledger_is_a_document_without_events() -> None:
    assert document([])["epcisBody"] == {"eventList": []}


@given(st.text(min_size=1, max_size=20))
def test_any_name_from_outside_stays_a_text_within_its_place(name: str) -> None:
    play = Play()
    (piece,) = play.job()
    walk(play, piece)
    ledger = ledger_of(play)
    spoil = PieceSpoiled(piece=piece, reason=name, remake=piece)
    play.happens(spoil)
    play.happens(StepDone(piece=piece, step=0, event=name))
    events = document(told(ledger_of(play)))["epcisBody"]["eventList"]
    assert len(events) == len(told(ledger)) + 2
    assert events[-1]["bizStep"].isascii()
