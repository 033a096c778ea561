"""Which cause a time has: each clause of what makes it scanned."""

from datetime import timedelta

import msgspec
import pytest

from floor.core.cost.cause import DERIVED, SCANNED, STANDARD, _of_time
from floor.core.times.cycle import StepTime
from floor.core.times.share import Share
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
    hands=Share(40, "seen"),
    machine=Share(30, "standard"),
)


@pytest.mark.parametrize(
    ("change", "cause"),
    [
        ({}, SCANNED),
        ({"hands": Share(40, "measured")}, DERIVED),
        ({"hands": Share(40, "shared")}, DERIVED),
        ({"hands": Share(40, "standard", "not seen")}, STANDARD),
    ],
)
def test_a_time_is_scanned_where_both_its_ends_were(change: dict[str, object], cause: str) -> None:
    assert _of_time(msgspec.structs.replace(SEEN, **change), "labour") == cause


def test_the_time_of_a_machine_has_a_basis_of_its_own() -> None:
    assert _of_time(SEEN, "machine") == STANDARD


def test_a_charge_of_no_step_has_a_standard_time() -> None:
    assert _of_time(None, "labour") == STANDARD
