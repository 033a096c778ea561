"""The signs of the wall."""

from typing import get_args

import pytest
from msgspec.structs import replace

from floor.core.plan.presses import InPress
from floor.wall.signs import ALARMS, SHAPES, Tone, alarm_rank, job_sign, press_sign, wet_sign
from shared.events.floor import AlarmKind
from tests.floor.wall.boards import NOW, alarm, job, pressed, wet


def test_every_tone_has_a_shape_of_its_own() -> None:
    assert len(set(SHAPES.values())) == len(get_args(Tone))


def test_every_alarm_that_the_floor_can_raise_has_a_sign() -> None:
    assert set(ALARMS) == set(get_args(AlarmKind))


def test_what_spoils_a_piece_within_minutes_stands_before_what_can_wait() -> None:
    kinds = ["care due", "job late", "press over time", "wet too long", "no such kind"]
    ranked = sorted((alarm(kind, 1) for kind in kinds), key=alarm_rank)
    assert [each.kind for each in ranked] == [
        "no such kind",
        "press over time",
        "wet too long",
        "job late",
        "care due",
    ]


@pytest.mark.parametrize(
    ("left_s", "said"),
    [(0.1, "● CLOSED"), (0, "◆ OPEN NOW"), (-59.9, "◆ OPEN NOW"), (-60, "▲ OVER TIME"), (-3600, "▲ OVER TIME")],
)
def test_a_press_is_closed_then_to_be_opened_then_over_its_time(left_s: float, said: str) -> None:
    assert str(press_sign(pressed("press 1", 1, left_s, over_s=60), opened_early=False)) == said


@pytest.mark.parametrize("left_s", [30, -3600])
def test_what_was_spoiled_or_given_up_in_a_press_is_to_be_taken_out(left_s: float) -> None:
    lying = replace(pressed("press 1", 1, left_s), take_out=True)
    assert str(press_sign(lying, opened_early=True)) == "◆ TAKE OUT"


def test_an_empty_press_is_free() -> None:
    assert str(press_sign(InPress(station="press 1"), opened_early=False)) == "○ FREE"


def test_an_empty_press_that_is_down_is_not_free() -> None:
    assert str(press_sign(InPress(station="press 1", down_since=NOW), opened_early=False)) == "◆ DOWN"


def test_what_is_in_a_press_that_is_down_counts_on() -> None:
    closed = replace(pressed("press 1", 1, 30), down_since=NOW)
    assert str(press_sign(closed, opened_early=False)) == "● CLOSED"


@pytest.mark.parametrize(
    ("minutes", "in_min", "said"),
    [
        (14.9, 1, "● WET"),
        (15, 1, "◆ HURRY"),
        (10, 11, "◆ HURRY"),
        (10, None, "◆ HURRY"),
        (19.9, 0, "◆ HURRY"),
        (20, 0, "▲ TOO LONG"),
    ],
)
def test_a_wet_piece_is_pressing_before_it_is_too_late(minutes: float, in_min: float | None, said: str) -> None:
    assert str(wet_sign(wet(1, minutes, limit_min=20, in_min=in_min))) == said


def test_where_the_shop_sets_no_limit_nothing_is_wet_for_too_long() -> None:
    assert str(wet_sign(wet(1, 10_000, limit_min=None))) == "● WET"


@pytest.mark.parametrize(
    ("held", "late", "said"),
    [(False, False, "● ON TIME"), (True, False, "○ HELD"), (False, True, "▲ LATE"), (True, True, "▲ LATE")],
)
def test_a_job_that_is_held_and_late_is_late(held: bool, late: bool, said: str) -> None:
    assert str(job_sign(replace(job(1, late=late), held=held))) == said


@pytest.mark.parametrize(
    ("held", "late", "said"),
    [(False, False, "▲ STUCK"), (True, False, "○ HELD"), (False, True, "▲ LATE")],
)
def test_a_job_that_cannot_be_finished_is_stuck_and_not_on_time(held: bool, late: bool, said: str) -> None:
    assert str(job_sign(replace(job(1), held=held, late=late, expected_finish=None))) == said
