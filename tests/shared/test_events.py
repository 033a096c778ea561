"""The events: to JSON and back, each with a kind of its own, in the past tense, never changed."""

import json
from collections.abc import Mapping
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any, get_args, get_origin

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.events.base import Event
from shared.events.jobs import JobAdded, PieceOpened
from shared.events.recorded import KINDS, as_dict, from_json, to_json
from shared.route import Step, Uses

EVENTS: tuple[type[msgspec.Struct], ...] = KINDS

PAST = {
    *("added", "held", "released", "cancelled", "opened", "started", "done", "assumed", "spoiled", "contradicted"),
    *("undone", "refused", "taken", "signed", "lost", "found", "read", "raised", "cleared", "reported", "foretold"),
    *("went", "came", "refilled", "calibrated", "set", "received", "interrupted"),
}

SPRAY = Uses(pretreat_g=Decimal("24.10"))

LEAVES: Mapping[Any, st.SearchStrategy[Any]] = {
    str: st.text(st.characters(exclude_categories=["Cs"]), max_size=20),  # JSON is UTF-8, which has no surrogates
    int: st.integers(-(2**53), 2**53),
    float: st.floats(allow_nan=False, allow_infinity=False),
    bool: st.booleans(),
    Decimal: st.decimals(allow_nan=False, allow_infinity=False),
    datetime: st.datetimes(timezones=st.just(UTC)),
    type(None): st.none(),
}


def anything_of(annotation: Any) -> st.SearchStrategy[Any]:
    """Any value of an annotation as the events use it."""
    arguments = get_args(annotation)
    origin = get_origin(annotation)
    if annotation in LEAVES:
        return LEAVES[annotation]
    if isinstance(annotation, type) and issubclass(annotation, msgspec.Struct):
        return any_struct(annotation)
    if origin is tuple:
        return st.lists(anything_of(arguments[0]), max_size=3).map(tuple)
    if origin is Mapping:
        return st.dictionaries(anything_of(arguments[0]), anything_of(arguments[1]), max_size=3)
    if all(not isinstance(argument, type) and isinstance(argument, str) for argument in arguments):
        return st.sampled_from(arguments)
    return st.one_of(*map(anything_of, arguments))


def any_struct(struct: type[msgspec.Struct]) -> st.SearchStrategy[Any]:
    fields = msgspec.structs.fields(struct)
    return st.builds(struct, **{field.name: anything_of(field.type) for field in fields})


ANY_EVENT = st.one_of(*(any_struct(event) for event in EVENTS))


@pytest.mark.parametrize("event", EVENTS, ids=lambda event: event.__name__)
@settings(max_examples=40)
@given(data=st.data())
def test_an_event_comes_back_from_json_as_it_went(event: type[msgspec.Struct], data: st.DataObject) -> None:
    happened = data.draw(any_struct(event))
    assert from_json(to_json(happened)) == happened


@given(ANY_EVENT)
def test_equal_events_have_equal_json_with_sorted_keys(event: Event) -> None:
    text = to_json(event)
    assert to_json(from_json(text)) == text
    assert list(json.loads(text)) == sorted(json.loads(text))


@given(ANY_EVENT)
def test_an_event_as_data_holds_nothing_that_json_does_not(event: Event) -> None:
    assert json.loads(json.dumps(as_dict(event))) == json.loads(to_json(event))


def test_a_moment_is_written_as_rfc_3339_in_utc() -> None:
    due = datetime(2026, 12, 2, 21, tzinfo=UTC)
    added = JobAdded(job="J0001", customer="Rowing club", due=due, currency="USD", lines=())
    assert '"due":"2026-12-02T21:00:00Z"' in to_json(added)


def test_a_decimal_is_written_as_a_string_with_all_its_places() -> None:
    step = Step(key="pretreat", event="pretreated", kind="hand", scans="out", if_missed="stop", uses=SPRAY)
    opened = PieceOpened(piece="1000000137", job="J0001", line=1, number=1, size="M", route=(step,))
    assert '"pretreat_g":"24.10"' in to_json(opened)


@given(ANY_EVENT)
def test_every_event_belongs_to_a_stream(event: Event) -> None:
    assert isinstance(event.stream, str)


def test_no_two_events_are_of_one_kind() -> None:
    kinds = [event.__struct_config__.tag for event in EVENTS]
    assert len(set(kinds)) == len(kinds)


@pytest.mark.parametrize("event", EVENTS, ids=lambda event: event.__name__)
def test_an_event_is_named_in_the_past_tense(event: type[msgspec.Struct]) -> None:
    assert PAST & set(str(event.__struct_config__.tag).split())


@pytest.mark.parametrize("event", EVENTS, ids=lambda event: event.__name__)
def test_the_name_in_the_code_is_the_kind_in_the_ledger(event: type[msgspec.Struct]) -> None:
    assert event.__name__.lower() == str(event.__struct_config__.tag).replace(" ", "")


@pytest.mark.parametrize("event", EVENTS, ids=lambda event: event.__name__)
def test_an_event_cannot_be_changed(event: type[msgspec.Struct]) -> None:
    assert event.__struct_config__.frozen


def test_what_is_no_event_is_refused() -> None:
    with pytest.raises(msgspec.ValidationError):
        from_json('{"kind":"step imagined","piece":"1"}')
    with pytest.raises(msgspec.ValidationError):
        from_json('{"kind":"step done"}')
    with pytest.raises(msgspec.DecodeError):
        from_json("{")
