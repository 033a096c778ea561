"""A trace: how a piece was cured, and which others may have had the same fate."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given

from floor.cli.trace_tables import trace_text
from floor.core.state.piece import Piece
from floor.core.times.cures import Mark, cures_of
from floor.core.trace.trace import presses_of, trace_lot, trace_piece, trace_press
from shared.codes import CodeType
from shared.events.reads import StepDone, StepStarted
from shared.events.recorded import Fact
from shared.events.supplies import LotOpened
from shared.files.cards import UNDO
from shared.files.shop import Shop, parse_shop
from shared.hours import Hours
from shared.plain import plain
from tests.floor.plays import Act, days, played
from tests.floor.wall.boards import lines_of
from tests.making import DARK_WALK, Play, card, large_shop, shop_data, shop_holding, walk

TO_THE_PRESS = DARK_WALK[:4]


def lot(play: Play, name: str, material: Any = "pretreat") -> None:
    play.record([Fact(event=LotOpened(material=material, lot=name), occurred_at=play.now)])


def cured(play: Play, piece: str, press: str = "press 1", *, wet_s: float = 20, held_s: float = 180) -> None:
    """From the booth through the press."""
    walk(play, piece, (*TO_THE_PRESS, (press, wet_s), (press, held_s)))


def marks(play: Play, piece: str) -> tuple[Mark, ...]:
    return tuple(mark for cure in cures_of(play.floor, play.piece(piece)) for mark in cure.marks)


def shared(play: Play, piece: str) -> dict[str, Any]:
    """By code: what another piece is told to have in common with one."""
    return {each["piece"]: each for each in plain(trace_piece(play.floor, play.shop, play.piece(piece)))["shared"]}


# How a piece was cured


def test_a_cure_says_how_long_it_was_wet_and_how_long_the_press_held_it() -> None:
    play = Play()
    [piece] = play.job()
    cured(play, piece, wet_s=300, held_s=185)
    [cure] = cures_of(play.floor, play.piece(piece))
    assert (cure.wet_s, cure.wet_limit_s, cure.held_s, cure.least_s) == (300, 1200, 185, 180)
    assert cure.marks == ()


def test_a_piece_that_lay_wet_too_long_is_marked() -> None:
    play = Play()
    [piece] = play.job()
    cured(play, piece, wet_s=1201)
    assert marks(play, piece) == ("over wet limit",)


def test_a_press_that_was_scanned_open_too_early_is_marked_though_it_was_closed_again() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece, (*TO_THE_PRESS, ("press 1", 20), ("press 1", 100), ("press 1", 100)))
    assert marks(play, piece) == ("opened early",)


@pytest.mark.parametrize(("held_s", "marked"), [(180, ()), (240, ()), (240.5, ("over its time",))])
def test_a_piece_that_a_press_held_beyond_what_the_shop_allows_is_marked(held_s: float, marked: tuple[str]) -> None:
    play = Play()
    [piece] = play.job()
    cured(play, piece, held_s=held_s)
    assert marks(play, piece) == marked


def test_the_trace_of_a_piece_that_lay_in_a_press_for_a_night_says_by_how_long() -> None:
    play = Play()
    [piece] = play.job(colour="white")
    walk(play, piece, (("printer 1", 95), ("press 1", 20), ("press 1", 142_500)))
    answer = plain(trace_piece(play.floor, play.shop, play.piece(piece)))
    assert (answer["cures"][0]["marks"], answer["cures"][0]["over_s"]) == (("over its time",), 142_440)
    assert "over its time" in "\n".join(lines_of(trace_text(answer, play.shop), 200))


def test_opening_too_early_marks_every_cure_at_which_it_was_done_and_no_other() -> None:
    play = Play()
    [piece] = play.job(places=("front", "back", "sleeve"))
    too_early = (*TO_THE_PRESS, ("press 1", 20), ("press 1", 100), ("press 1", 100))
    walk(play, piece, too_early)
    walk(play, piece, (*TO_THE_PRESS, ("press 1", 20), ("press 1", 180)))
    walk(play, piece, too_early)
    assert [cure.marks for cure in cures_of(play.floor, play.piece(piece))] == [
        ("opened early",),
        (),
        ("opened early",),
    ]


def test_a_piece_that_is_still_in_the_press_is_told_so() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece, (*TO_THE_PRESS, ("press 1", 20)))
    assert marks(play, piece) == ("in the press",)


def test_a_cure_that_nobody_saw_is_assumed_and_its_wet_time_unknown() -> None:
    steps = shop_data()["steps"]
    play = Play(parse_shop(shop_data(steps={**steps, "cure": {**steps["cure"], "if_missed": "assume"}})))
    [piece] = play.job()
    walk(play, piece, (*TO_THE_PRESS, ("packing", 600)))
    assert marks(play, piece) == ("assumed", "wet time unknown")
    [cure] = cures_of(play.floor, play.piece(piece))
    assert (cure.press, cure.held_s, cure.at) == (None, None, play.now)


def test_a_wet_time_whose_beginning_nobody_saw_is_unknown() -> None:
    steps = shop_data()["steps"]
    play = Play(parse_shop(shop_data(steps={**steps, "colour": {**steps["colour"], "if_missed": "assume"}})))
    [piece] = play.job()
    walk(play, piece, (*DARK_WALK[:3], ("press 1", 20), ("press 1", 180)))
    assert marks(play, piece) == ("wet time unknown",)


def test_facts_that_hold_a_piece_for_less_than_its_time_are_marked_whoever_recorded_them() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece, TO_THE_PRESS)
    began = play.now + timedelta(seconds=20)
    for event, at in (
        (StepStarted(piece=piece, step=4), began),
        (StepDone(piece=piece, step=4, event="cured"), began + timedelta(seconds=179)),
    ):
        play.record([Fact(event=event, occurred_at=at, station="press 1")])
    assert marks(play, piece) == ("under dwell",)


def test_a_cure_that_is_recorded_at_two_presses_is_marked() -> None:
    play = Play(large_shop())
    [piece] = play.job()
    cured(play, piece)
    play.scan(piece, "press 2", at=play.now - timedelta(seconds=60))
    assert marks(play, piece) == ("contradicted",)


def test_a_cure_that_was_undone_does_not_count() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece, (*TO_THE_PRESS, ("press 1", 20)))
    play.scan(card(CodeType.COMMAND, UNDO), "press 1", after_s=5)
    assert cures_of(play.floor, play.piece(piece)) == ()


def test_a_late_fact_changes_the_wet_time() -> None:
    steps = shop_data()["steps"]
    play = Play(parse_shop(shop_data(steps={**steps, "colour": {**steps["colour"], "if_missed": "assume"}})))
    [piece] = play.job()
    walk(play, piece, (*DARK_WALK[:3], ("press 1", 1400), ("press 1", 180)))
    closed = play.now - timedelta(seconds=180)
    play.scan(piece, "printer 1", at=closed - timedelta(seconds=1300))
    assert marks(play, piece) == ("over wet limit",)


# What pieces have in common


def test_two_pieces_in_one_press_at_one_time_shared_a_stay() -> None:
    play = Play(shop_holding(2))
    first, second, third = play.job(sizes={"M": 3})
    for piece in (first, second, third):
        walk(play, piece, TO_THE_PRESS)
    for piece in (first, second):
        play.scan(piece, "press 1", after_s=5)
    for piece in (first, second):
        play.scan(piece, "press 1", after_s=180)
    walk(play, third, (("press 1", 20), ("press 1", 180)))
    found = shared(play, first)
    assert {code: each["near"] for code, each in found.items()} == {second: "same stay", third: "same press"}


def test_pieces_of_one_shift_are_told_wherever_they_were_cured_and_those_of_the_next_are_not() -> None:
    play = Play(large_shop())
    first, second, third = play.job(sizes={"M": 3})
    cured(play, first)
    cured(play, second, "press 2")
    play.now += timedelta(days=1)
    cured(play, third)
    assert {code: each["near"] for code, each in shared(play, first).items()} == {second: "same shift"}


def test_a_shared_lot_brings_in_a_piece_of_another_day_and_another_customer() -> None:
    play = Play()
    lot(play, "L1")
    [first] = play.job()
    [second] = play.job()
    cured(play, first)
    play.now += timedelta(days=3)
    cured(play, second)
    found = shared(play, first)[second]
    assert (found["near"], found["job"], found["customer"]) == (None, "J0002", "Harbour rowing club")
    assert [each["lot"] for each in found["shared_lots"]] == ["L1"]


def test_a_piece_that_shares_nothing_is_not_told() -> None:
    play = Play()
    first, second = play.job(sizes={"M": 2})
    cured(play, first)
    assert shared(play, first) == {}
    assert second not in shared(play, first)


def test_the_most_suspicious_come_first_then_the_nearest() -> None:
    play = Play(large_shop())
    traced, near, elsewhere, wet = play.job(sizes={"M": 4})
    cured(play, traced)
    cured(play, elsewhere, "press 2")
    cured(play, near)
    cured(play, wet, "press 2", wet_s=1300)
    assert list(shared(play, traced)) == [wet, near, elsewhere]


def test_a_spoiled_piece_is_told_with_its_state_and_its_remake_only_when_it_shares() -> None:
    play = Play()
    lot(play, "L1")
    first, second = play.job(sizes={"M": 2})
    cured(play, first)
    play.scan(second, "pretreat booth")
    play.scan(card(CodeType.REASON, "stain"), "pretreat booth", after_s=5)
    play.scan(second, "pretreat booth", after_s=5)
    found = shared(play, first)
    assert list(found) == [second]
    assert (found[second]["state"], found[second]["cures"]) == ("spoiled", [])


def test_a_cancelled_piece_that_was_cured_is_told_as_cancelled() -> None:
    play = Play()
    first, second = play.job(sizes={"M": 2})
    cured(play, first)
    cured(play, second)
    play.cancel()
    assert shared(play, first)[second]["state"] == "cancelled"


def test_the_trace_of_a_piece_holds_all_that_is_known_of_the_piece() -> None:
    play = Play()
    [piece] = play.job()
    cured(play, piece)
    answer = plain(trace_piece(play.floor, play.shop, play.piece(piece)))
    assert (answer["piece"], answer["customer"], len(answer["walk"])) == (piece, "Harbour rowing club", 6)
    assert answer["cures"][0]["press"] == "press 1"


# By press, and by lot


@pytest.mark.parametrize(
    ("since_s", "until_s", "there"),
    [(None, None, True), (-300, 0, False), (-300, 1, True), (0, 10, True), (180, 300, True), (181, 300, False)],
)
def test_a_press_is_traced_from_one_moment_to_another(
    since_s: float | None, until_s: float | None, there: bool
) -> None:
    play = Play()
    [piece] = play.job()
    cured(play, piece)
    closed = play.now - timedelta(seconds=180)
    since, until = (None if each is None else closed + timedelta(seconds=each) for each in (since_s, until_s))
    found = plain(trace_press(play.floor, play.shop, "press 1", since, until))["pieces"]
    assert [each["piece"] for each in found] == ([piece] if there else [])


def test_a_piece_that_is_still_in_the_press_is_in_every_later_window() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece, (*TO_THE_PRESS, ("press 1", 20)))
    found = plain(trace_press(play.floor, play.shop, "press 1", play.now + timedelta(hours=1), None))["pieces"]
    assert [each["piece"] for each in found] == [piece]


def test_a_lot_is_traced_to_every_piece_made_of_it() -> None:
    play = Play()
    first, second = play.job(sizes={"M": 2})
    lot(play, "L1")
    play.scan(first, "pretreat booth")
    play.now += timedelta(seconds=1)
    lot(play, "L2")
    play.scan(second, "pretreat booth")
    answer = plain(trace_lot(play.floor, play.shop, "pretreat", "L1"))
    assert [each["piece"] for each in answer["pieces"]] == [first]
    assert [each["until"] for each in answer["in_use"]] == ["2026-11-23T14:01:01Z"]


def test_a_press_that_the_shop_no_longer_has_can_still_be_traced() -> None:
    play = Play(large_shop())
    [piece] = play.job()
    cured(play, piece, "press 2")
    assert presses_of(play.floor, Play().shop) == ["press 1", "press 2"]


# Shifts


def night_shop() -> Shop:
    return parse_shop(shop_data(hours={"mon": ["22:00-06:00"], "tue": ["08:00-16:00"]}))


@pytest.mark.parametrize(
    ("wall", "day"),
    [("2026-11-23T23:30", 23), ("2026-11-24T05:59", 23), ("2026-11-24T06:00", 24), ("2026-11-24T18:00", 24)],
)
def test_work_beyond_midnight_is_of_the_shift_in_which_it_began(wall: str, day: int) -> None:
    hours = night_shop().hours
    assert hours.shift_of(hours.moment(wall)).day == day


def test_a_shop_that_is_always_open_has_a_shift_each_day_of_its_zone() -> None:
    hours = Hours.from_table(None, "America/New_York")
    assert hours.shift_of(datetime(2026, 11, 24, 4, 59, tzinfo=UTC)).day == 23
    assert hours.shift_of(datetime(2026, 11, 24, 5, 0, tzinfo=UTC)).day == 24


# Whatever happens


@given(days)
def test_any_day_can_be_traced_and_what_is_shared_is_shared_both_ways(acts: list[Act]) -> None:
    play = played(acts)
    pieces = list(play.floor.pieces)
    found = {piece: shared(play, piece) for piece in pieces}
    for piece in pieces:
        assert piece not in found[piece]
        for other, told in found[piece].items():
            assert found[other][piece]["near"] == told["near"]


@given(days)
def test_the_trace_of_every_press_together_holds_every_piece_that_was_in_one(acts: list[Act]) -> None:
    play = played(acts)

    def was_in_one(piece: Piece) -> bool:
        return any(
            step.kind == "dwell" and walked.started for step, walked in zip(piece.route, piece.walk, strict=True)
        )

    traces = (
        plain(trace_press(play.floor, play.shop, press, None, None)) for press in presses_of(play.floor, play.shop)
    )
    found = {each["piece"] for trace in traces for each in trace["pieces"]}
    assert found == {code for code, piece in play.floor.pieces.items() if was_in_one(piece)}
