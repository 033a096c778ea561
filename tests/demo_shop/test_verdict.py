"""The demo's own judgement is one that can be lost."""

from types import SimpleNamespace
from typing import Any

import pytest
from msgspec.structs import replace

from demo_shop.day import Day
from demo_shop.mishaps import MISHAPS
from demo_shop.office import Office
from demo_shop.play import Heard
from demo_shop.verdict import PlayedThrough, promises
from shared.codes import CodeType, make
from shared.scan import Answer, Scan
from tests.demo_shop.conftest import Again, PlayedDay


def broken(played: PlayedThrough, office: Office, report: dict[str, Any]) -> set[str]:
    """The promises that were not kept."""
    return {promise.promise for promise in promises(played, office, report) if not promise.kept}


@pytest.fixture
def office(again: Again) -> Office:
    return Office(again.outcome.folder.path, again.outcome.folder.clock)


@pytest.fixture
def played(day: PlayedDay, again: Again) -> PlayedThrough:
    """What was played, as far as it is judged."""
    scan = Scan(read_id="1", text="", at=day.rows[0].occurred_at, device="gun")
    twice = Heard(scan, Answer(outcome="repeated", say=""))
    happened = {mishap.happens: mishap.times for mishap in MISHAPS}
    worked_s = sum(each["absorbed_s"] for each in again.outcome.report["hands"]) * 1.1
    went = SimpleNamespace(surprises=[], happened=happened, worked_s=worked_s)
    outcome = again.outcome
    return PlayedThrough(orders=outcome.orders, cards=outcome.cards, day=went, heard=[twice] * 3)  # type: ignore[arg-type]


def a_day(played: PlayedThrough, **otherwise: Any) -> Day:
    """The day that was played, but for some of what is known of it."""
    went: Any = SimpleNamespace(**{**vars(played.day), **otherwise})
    day: Day = went
    return day


def test_a_day_as_promised_breaks_no_promise(played: PlayedThrough, office: Office, again: Again) -> None:
    assert broken(played, office, again.outcome.report) == set()


def test_a_traveller_that_does_not_read_breaks_one(played: PlayedThrough, office: Office, again: Again) -> None:
    first, *others = played.orders
    changed = replace(played, orders=[replace(first, read=first.read[1:]), *others])
    assert broken(changed, office, again.outcome.report) == {"every traveller of J0001 reads as it was given"}


def test_a_traveller_that_reads_as_something_else_breaks_one(
    played: PlayedThrough, office: Office, again: Again
) -> None:
    first, *others = played.orders
    changed = replace(played, orders=[replace(first, read=(make(CodeType.PIECE, 99), *first.read[1:])), *others])
    assert broken(changed, office, again.outcome.report) == {"every traveller of J0001 reads as it was given"}


def test_a_card_that_does_not_read_breaks_one(played: PlayedThrough, office: Office, again: Again) -> None:
    assert broken(replace(played, cards=played.cards - 1), office, again.outcome.report) == {"every card reads"}


def test_a_surprise_breaks_one(played: PlayedThrough, office: Office, again: Again) -> None:
    went = a_day(played, surprises=["told otherwise"])
    name = "every read was answered as its hands had reason to expect"
    assert broken(replace(played, day=went), office, again.outcome.report) == {name}


@pytest.mark.parametrize("missing", MISHAPS, ids=lambda mishap: mishap.happens.__name__)
def test_a_mishap_that_did_not_happen_breaks_its_own(
    played: PlayedThrough, office: Office, again: Again, missing: Any
) -> None:
    happened = {**played.day.happened, missing.happens: 0}
    went = a_day(played, happened=happened)
    name = missing.happens.__name__.replace("_", " ")
    expected = {f"{name}: played as often as planned", f"{name}: left its mark as often"}
    assert broken(replace(played, day=went), office, again.outcome.report) == expected


def test_a_double_read_that_was_not_seen_as_one_breaks_one(played: PlayedThrough, office: Office, again: Again) -> None:
    assert broken(replace(played, heard=[]), office, again.outcome.report) == {"double read: left its mark as often"}


@pytest.mark.parametrize(
    ("key", "name"),
    [("finished", "the report counts what was finished"), ("open", "the report leaves nothing open")],
)
def test_a_report_that_counts_otherwise_breaks_one(
    played: PlayedThrough, office: Office, again: Again, key: str, name: str
) -> None:
    report = {**again.outcome.report, key: again.outcome.report[key] + 1}
    assert broken(played, office, report) == {name}


def test_a_report_without_what_was_spoiled_breaks_one(played: PlayedThrough, office: Office, again: Again) -> None:
    report = {**again.outcome.report, "spoiled_by_reason": {}}
    assert broken(played, office, report) == {"the report counts what was spoiled"}


def test_a_job_that_is_missing_in_the_report_breaks_one(played: PlayedThrough, office: Office, again: Again) -> None:
    report = {**again.outcome.report, "jobs": again.outcome.report["jobs"][1:]}
    assert broken(played, office, report) == {"job by job"}


@pytest.mark.parametrize("times_too_many", [0.8, 1.2])
def test_hours_that_are_far_from_what_hands_worked_break_one(
    played: PlayedThrough, office: Office, again: Again, times_too_many: float
) -> None:
    worked_s = sum(each["absorbed_s"] for each in again.outcome.report["hands"]) * times_too_many
    assert broken(replace(played, day=a_day(played, worked_s=worked_s)), office, again.outcome.report) == {
        "hours in pieces are within 12% of those that hands worked"
    }


def test_more_hours_in_pieces_than_somebody_was_there_break_one(
    played: PlayedThrough, office: Office, again: Again
) -> None:
    first, *others = again.outcome.report["hands"]
    report = {**again.outcome.report, "hands": [{**first, "paid_s": 1}, *others]}
    assert broken(played, office, report) == {"no hands have more hours in pieces than they were there"}
