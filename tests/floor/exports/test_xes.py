"""The ledger as XES: a trace of each piece, as it was."""

from datetime import UTC, datetime, timedelta
from xml.etree.ElementTree import Element, fromstring

from hypothesis import given
from hypothesis import strategies as st

from floor.core.times.cycle import Walks, standard_s
from floor.exports.moments import rfc3339
from floor.exports.window import EVERYTHING, Window
from floor.exports.xes import xes_document
from shared.codes import CodeType
from shared.events.reads import StepDone
from shared.events.recorded import Fact
from shared.files.cards import STATION_DOWN, STATION_UP
from tests.floor.exports.day import NEW_YORK, Day
from tests.floor.plays import Act, days, played
from tests.making import MONDAY, Play, card

XES = "{http://www.xes-standard.org/}"
Said = dict[str, str]


def said(element: Element) -> Said:
    return {child.attrib["key"]: child.attrib["value"] for child in element if "key" in child.attrib}


def traces(play: Play, window: Window = EVERYTHING) -> dict[str, tuple[Said, list[Said]]]:
    """By piece: what its trace says of it, and of its events."""
    log = fromstring(b"".join(xes_document(play.rows, play.shop, window)))
    found = [(said(trace), [said(event) for event in trace.iter(f"{XES}event")]) for trace in log.iter(f"{XES}trace")]
    return {of_piece["concept:name"]: (of_piece, events) for of_piece, events in found}


def scanned(events: list[Said]) -> list[Said]:
    """Without the starts that nobody scanned."""
    return [event for event in events if "derived" not in event]


def doings(play: Play, piece: str) -> list[tuple[str, str]]:
    return [(event["concept:name"], event["lifecycle:transition"]) for event in scanned(traces(play)[piece][1])]


def pretreated(play: Play, piece: str, *, at: str, by: str) -> None:
    """A fact with a station and a badge of any name, which the rules would not let through."""
    event = StepDone(piece=piece, step=0, event="pretreated")
    play.record([Fact(event=event, occurred_at=play.now, station=at, badge=by)])


def test_a_trace_tells_every_step_and_both_ends_of_a_cure() -> None:
    day = Day()
    assert doings(day.play, day.walked) == [
        ("pretreat", "complete"),
        ("underlayer", "complete"),
        ("inspect", "complete"),
        ("colour", "complete"),
        ("cure", "start"),
        ("cure", "complete"),
        ("pack", "complete"),
    ]


def test_a_trace_says_what_the_piece_is() -> None:
    day = Day()
    of_piece = traces(day.play)[day.remake][0]
    assert of_piece == {
        "concept:name": day.remake,
        "job": "J0001",
        "design": "oars",
        "item": "heavy tee",
        "colour": "navy",
        "size": "M",
        "remake_of": day.spoiled,
        "opened": rfc3339(day.play.floor.pieces[day.remake].opened.astimezone(NEW_YORK)),
    }


def test_an_event_says_when_where_and_which_row_it_is() -> None:
    play = Play()
    (piece,) = play.job()
    play.scan(piece, "pretreat booth", badge="A")
    assert traces(play)[piece][1][1] == {
        "concept:name": "pretreat",
        "lifecycle:transition": "complete",
        "time:timestamp": "2026-11-23T09:01:00-05:00",
        "org:resource": "pretreat booth",
        "badge": "A",
        "seq": "3",
    }


def test_the_start_of_a_step_that_nobody_scanned_is_told_as_derived() -> None:
    """By the standard of pretreating, 40 s: those hands had read nothing at the booth before."""
    play = Play()
    [piece] = play.job()
    play.scan(piece, "pretreat booth", badge="A", after_s=600)
    [start, end] = traces(play)[piece][1]
    assert start == {
        **end,
        "lifecycle:transition": "start",
        "derived": "true",
        "time:timestamp": start["time:timestamp"],
    }
    began, done = (datetime.fromisoformat(event["time:timestamp"]) for event in (start, end))
    standard = timedelta(seconds=standard_s(play.floor.pieces[piece].route[0]))
    assert done - began == standard > timedelta(0)


def test_the_start_of_a_step_that_was_scanned_is_told_once() -> None:
    day = Day()
    cures = [event for event in traces(day.play)[day.walked][1] if event["concept:name"] == "cure"]
    assert [("derived" in event, event["lifecycle:transition"]) for event in cures] == [
        (False, "start"),
        (False, "complete"),
    ]


def test_a_window_cuts_off_no_start_from_its_end_and_no_touch_from_the_rule() -> None:
    """All events of a part of the day are those of the whole day, starts included."""
    day = Day()
    since = day.play.rows[len(day.play.rows) // 2].occurred_at
    whole, part = traces(day.play), traces(day.play, Window(since=since))
    told = [event for _, events in part.values() for event in events]
    assert any("derived" in event for event in told)
    assert all(event in [each for _, events in whole.values() for each in events] for event in told)


@given(days)
def test_the_starts_in_traces_are_those_of_the_week(acts: list[Act]) -> None:
    play = played(acts)
    found = traces(play)
    for piece in play.floor.pieces.values():
        derived = [event for event in found[piece.code][1] if "derived" in event]
        assert sorted(
            (event["concept:name"], datetime.fromisoformat(event["time:timestamp"])) for event in derived
        ) == (
            sorted((time.step.label, time.started) for time in Walks(play.floor, play.shop).of(piece) if time.derived)
        )


def test_what_was_undone_is_not_in_a_trace() -> None:
    day = Day()
    assert doings(day.play, day.undone) == []
    assert doings(day.play, day.saved) == [("pretreat", "complete")]


def test_a_cure_whose_press_went_down_is_broken_off_and_begun_anew() -> None:
    play = Play()
    [piece] = play.job(colour="white")
    for station, after_s in (("printer 1", 60), ("press 1", 20)):
        play.scan(piece, station, after_s=after_s)
    play.scan(card(CodeType.COMMAND, STATION_DOWN), "press 1", after_s=10)
    play.scan(card(CodeType.COMMAND, STATION_UP), "press 1", after_s=60)
    play.scan(piece, "press 1", after_s=60)
    assert [does for does in doings(play, piece) if does[0] == "cure"] == [
        ("cure", "start"),
        ("cure", "ate_abort"),  # of the lifecycle extension's standard transitions (IEEE 1849), from memory
        ("cure", "start"),
    ]


def test_a_spoiled_piece_ends_with_it() -> None:
    day = Day()
    assert doings(day.play, day.spoiled)[-1] == ("spoiled", "complete")


def test_a_step_that_nobody_saw_is_at_no_known_point_of_its_life_and_at_no_resource() -> None:
    play = Play()
    (piece,) = play.job()
    play.scan(piece, "printer 1")
    [assumed, *_] = scanned(traces(play)[piece][1])
    assert (assumed["concept:name"], assumed["lifecycle:transition"]) == ("pretreat", "unknown")
    assert "org:resource" not in assumed


def test_the_events_of_a_trace_are_in_the_order_in_which_they_happened_though_one_came_late() -> None:
    play = Play()
    (piece,) = play.job()
    play.scan(piece, "printer 1", after_s=600)
    play.scan(piece, "pretreat booth", at=MONDAY + timedelta(seconds=90))
    seqs = [event["seq"] for event in scanned(traces(play)[piece][1])]
    assert seqs == ["5", "3", "4"]


def test_a_piece_without_anything_in_the_window_has_no_trace() -> None:
    play = Play()
    first, _ = play.job(sizes={"M": 2})
    play.scan(first, "pretreat booth")
    window = Window(since=MONDAY + timedelta(seconds=1))
    assert {piece: len(events) for piece, (_, events) in traces(play, window).items()} == {first: 2}


@given(days)
def test_the_traces_of_any_day_are_the_walks_that_the_floor_knows(acts: list[Act]) -> None:
    play = played(acts)
    found = traces(play)
    assert list(found) == sorted(play.floor.pieces)
    for piece in play.floor.pieces.values():
        events = found[piece.code][1]
        facts = [event for event in scanned(events) if event["concept:name"] != "spoiled"]
        assert [(int(event["seq"]), datetime.fromisoformat(event["time:timestamp"])) for event in facts] == [
            (fact.seq, fact.occurred_at) for fact in piece.facts
        ]
        assert ("spoiled" in {event["concept:name"] for event in events}) is (piece.spoiled is not None)


@given(st.text(max_size=30))
def test_any_text_from_outside_leaves_the_document_well_formed(text: str) -> None:
    play = Play()
    (piece,) = play.job()
    pretreated(play, piece, at=text, by=text)
    assert [event["concept:name"] for event in traces(play)[piece][1]] == ["pretreat", "pretreat"]


def test_characters_that_xml_forbids_are_replaced() -> None:
    play = Play()
    (piece,) = play.job()
    pretreated(play, piece, at="booth", by='A\x00\x1b[2J<&"\ufffe\uffff')
    assert traces(play)[piece][1][1]["badge"] == 'A\ufffd\ufffd[2J<&"\ufffd\ufffd'


def test_an_empty_ledger_is_a_log_without_traces() -> None:
    assert traces(Play()) == {}


def test_moments_are_exact() -> None:
    play = Play()
    (piece,) = play.job()
    at = datetime(2026, 11, 23, 15, 0, 0, 123457, tzinfo=UTC)
    play.scan(piece, "pretreat booth", at=at)
    assert datetime.fromisoformat(traces(play)[piece][1][1]["time:timestamp"]) == at
