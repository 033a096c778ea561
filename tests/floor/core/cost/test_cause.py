"""Which cause a time has: each clause of what makes it scanned."""

from datetime import timedelta

import msgspec
import pytest

from floor.core.cost.cause import DERIVED, SCANNED, STANDARD, _of_time
from floor.core.times.cycle import StepTime
from shared.route import Step
from tests.making import MONDAY, Play


def pretreat() -> Step:
    play = Play()
    [piece] = play.job()
    return play.piece(piece).route[0]


SEEN = StepTime(
    step=pretreat(),
    started=MONDAY,
    done=MONDAY + timedelta(seconds=40),
    station="pretreat booth",
    badge="A",
    derived=False,
    assumed=False,
    ready=MONDAY,
)


@pytest.mark.parametrize(
    ("change", "cause"),
    [
        ({}, SCANNED),
        ({"derived": True}, DERIVED),
        ({"derived": True, "stood_in": True}, STANDARD),
        ({"stood_in": True}, STANDARD),
        ({"assumed": True}, STANDARD),
        ({"done": None}, STANDARD),
    ],
)
def test_a_time_is_scanned_where_both_its_ends_were(change: dict[str, object], cause: str) -> None:
    assert _of_time(msgspec.structs.replace(SEEN, **change)) == cause


def test_a_charge_of_no_step_has_a_standard_time() -> None:
    assert _of_time(None) == STANDARD
