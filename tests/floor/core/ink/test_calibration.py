"""Calibration: what the shop's own readings make of the estimates."""

from decimal import Decimal

import pytest

from floor.core.ink.calibration import Calibration, accepted, calibrations
from floor.core.times.robust import ENOUGH
from shared.events.supplies import InkCalibrated
from shared.wish import NotPossible
from tests.floor.core.ink.inked import WHITE_STEP, printed_pieces, read
from tests.making import Play


@pytest.fixture
def play() -> Play:
    return Play()


def read_all(play: Play, n: int, times: str) -> None:
    """So many prints took so many times the estimate of white."""
    for piece in printed_pieces(play, n):
        estimated = play.piece(piece).route[WHITE_STEP].uses.estimated_ml
        assert estimated is not None
        read(play, piece, white=round(estimated * Decimal(times), 6))


def white(play: Play) -> Calibration:
    return calibrations(play.floor, play.now)[0]


def accept(play: Play) -> None:
    play.record(accepted([white(play)], play.now))


def test_the_readings_propose_a_factor(play: Play) -> None:
    read_all(play, ENOUGH, "1.3")
    found = white(play)
    assert (found.factor, found.in_force, found.proposed) == (Decimal("1.3000"), Decimal(1), True)
    assert (found.n, found.far, found.spread) == (ENOUGH, 0, Decimal(0))


def test_too_few_readings_propose_nothing(play: Play) -> None:
    read_all(play, ENOUGH - 1, "1.3")
    assert (white(play).factor, white(play).proposed) == (None, False)
    with pytest.raises(NotPossible, match="too few readings"):
        accept(play)


def test_an_accepted_factor_is_recorded_with_what_it_stands_on(play: Play) -> None:
    read_all(play, ENOUGH, "1.3")
    accept(play)
    assert play.rows[-1].event == InkCalibrated(ink="white", factor=Decimal("1.3000"), n=ENOUGH, spread=Decimal(0))
    assert play.floor.supplies.ink.factors_at(play.now) == {"white": Decimal("1.3000"), "colour": 1}


def test_what_is_in_force_is_not_proposed_again(play: Play) -> None:
    read_all(play, ENOUGH, "1.3")
    accept(play)
    assert (white(play).factor, white(play).proposed) == (Decimal("1.3000"), False)
    with pytest.raises(NotPossible, match="No factor is proposed"):
        accept(play)


def test_jobs_that_were_quoted_by_a_factor_say_the_same_of_the_estimates_beneath(play: Play) -> None:
    read_all(play, ENOUGH, "1.3")
    accept(play)
    read_all(play, ENOUGH, "1.3")
    assert (white(play).n, white(play).factor) == (2 * ENOUGH, Decimal("1.3000"))


def test_prints_whose_ink_the_job_file_tells_calibrate_nothing(play: Play) -> None:
    for piece in printed_pieces(play, ENOUGH, ink={"white_ml": "3"}):
        read(play, piece, white="4")
    assert white(play).n == 0


def test_a_reading_of_nothing_calibrates_nothing(play: Play) -> None:
    for piece in printed_pieces(play, ENOUGH):
        read(play, piece, white="0")
    assert white(play).n == 0


@pytest.mark.parametrize("times", ["0.1", "10"])
def test_a_factor_that_looks_like_a_wrong_unit_is_not_accepted(play: Play, times: str) -> None:
    read_all(play, ENOUGH, times)
    with pytest.raises(NotPossible, match=r"is no calibration; allowed is 0\.2 to 5.*unit"):
        accept(play)
