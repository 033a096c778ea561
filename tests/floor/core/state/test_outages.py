"""When a station was down, by what its cards said."""

from datetime import datetime, timedelta

from hypothesis import assume, given
from hypothesis import strategies as st

from floor.core.state.outages import Outages
from tests.making import MONDAY

Said = list[tuple[int, bool]]
said = st.lists(st.tuples(st.integers(0, 20), st.booleans()), max_size=8)
"""Minutes after the morning, and whether the station was down from then on."""


def told(all_said: Said) -> Outages:
    outages = Outages()
    for seq, (minute, down) in enumerate(all_said, start=1):
        outages.say(at(minute), seq, down=down)
    return outages


def at(minute: float) -> datetime:
    return MONDAY + timedelta(minutes=minute)


def test_a_station_of_which_nothing_was_said_is_up() -> None:
    assert told([]).down_since is None


def test_a_station_is_down_until_it_is_up_again() -> None:
    assert told([(5, True)]).down_since == at(5)
    assert told([(5, True), (8, False)]).down_since is None


def test_saying_again_that_it_is_down_makes_it_no_shorter() -> None:
    assert told([(5, True), (7, True)]).down_since == at(5)


def test_it_is_known_when_it_was_down_though_it_is_up_now() -> None:
    outages = told([(5, True), (8, False)])
    assert [outages.down_at(at(minute)) for minute in (4, 5, 7, 8)] == [None, at(5), at(5), None]


def test_what_is_said_late_finds_its_place() -> None:
    assert told([(8, False), (5, True)]).down_since is None


def test_its_spans_lie_between_its_cards_and_the_last_lasts_until_now() -> None:
    outages = told([(5, True), (8, False), (9, False), (12, True), (13, True)])
    assert list(outages.spans(at(20))) == [(at(5), at(8)), (at(12), at(20))]


def test_a_station_that_will_be_down_has_not_been_down_yet() -> None:
    assert list(told([(12, True)]).spans(at(10))) == []


def up_minutes(all_said: Said) -> list[bool]:
    """Of each minute from the morning on: whether the station was up; nothing is said after minute 20."""
    outages = told(all_said)
    return [outages.down_at(at(minute)) is None for minute in range(60)]


@given(said, st.integers(0, 20))
def test_it_goes_down_next_at_the_first_minute_that_follows_one_that_was_up(all_said: Said, start: int) -> None:
    up = up_minutes(all_said)
    assume(up[start])
    changes = (minute for minute in range(start + 1, 60) if up[minute - 1] and not up[minute])
    minute = next(changes, None)
    assert told(all_said).next_down(at(start)) == (None if minute is None else at(minute))


@given(said, st.integers(0, 20), st.integers(1, 20))
def test_it_was_down_between_two_moments_if_a_minute_between_was_down(all_said: Said, start: int, minutes: int) -> None:
    between = up_minutes(all_said)[start : start + minutes]
    assert told(all_said).down_between(at(start), at(start + minutes)) == (not all(between))


@given(said, st.integers(0, 20))
def test_a_station_is_down_at_a_moment_if_one_of_its_spans_holds_it(all_said: Said, minute: int) -> None:
    outages = told(all_said)
    inside = [since for since, end in outages.spans(at(99)) if since <= at(minute) < end]
    assert inside == ([] if outages.down_at(at(minute)) is None else [outages.down_at(at(minute))])
