"""The ink that a print took: as it was read, or as it is estimated."""

from datetime import timedelta
from decimal import Decimal

import pytest

from floor.core.cost.actual import quoted
from floor.core.ink.use import ink_used, printed
from shared.events.supplies import InkCalibrated, InkRead
from shared.money import Element, by_element, measured
from shared.route import UNCALIBRATED
from tests.floor.core.cost.using import used
from tests.floor.core.ink.inked import COLOUR_STEP, WHITE_STEP, ml, printed_pieces, read, tell
from tests.making import Play


@pytest.fixture
def play() -> Play:
    return Play()


def calibrate(play: Play, factor: str) -> None:
    tell(play, InkCalibrated(ink="white", factor=Decimal(factor), n=30, spread=Decimal("0.05")))


def white(play: Play, piece: str) -> tuple[Decimal, bool]:
    used = ink_used(play.floor, play.piece(piece), WHITE_STEP)
    return used.white_ml, used.measured


def estimate(play: Play, piece: str) -> Decimal:
    before = play.piece(piece).route[WHITE_STEP].uses.estimated_ml
    assert before is not None
    return before


def cost(play: Play, piece: str, element: Element) -> Decimal:
    return by_element(used(play.floor, play.shop, play.piece(piece)))[element]


def test_a_print_that_was_read_took_what_was_read(play: Play) -> None:
    [piece] = printed_pieces(play, 1)
    read(play, piece, white="2.4")
    assert white(play, piece) == (ml("2.4"), True)
    assert cost(play, piece, "white_ink") == ml("2.4") * play.shop.prices.white_ink_per_ml


def test_a_print_that_was_not_read_took_its_estimate(play: Play) -> None:
    [piece] = printed_pieces(play, 1)
    assert white(play, piece) == (measured(estimate(play, piece)), False)


def test_white_that_was_read_says_nothing_of_the_colour(play: Play) -> None:
    [piece] = printed_pieces(play, 1)
    before = cost(play, piece, "colour_ink")
    read(play, piece, white="2.4")
    assert cost(play, piece, "colour_ink") == before
    assert not ink_used(play.floor, play.piece(piece), COLOUR_STEP).measured


def test_a_second_reading_corrects_the_first_and_both_stay(play: Play) -> None:
    [piece] = printed_pieces(play, 1)
    read(play, piece, white="24")
    play.now += timedelta(minutes=1)
    read(play, piece, white="2.4")
    assert white(play, piece) == (ml("2.4"), True)
    assert [row.event.ml for row in play.rows if isinstance(row.event, InkRead)] == [ml("24"), ml("2.4")]


def test_an_earlier_reading_that_is_told_late_corrects_nothing(play: Play) -> None:
    [piece] = printed_pieces(play, 1)
    read(play, piece, white="2.4")
    read(play, piece, white="24", at=play.now - timedelta(minutes=1))
    assert white(play, piece) == (ml("2.4"), True)


def test_of_two_readings_of_one_moment_the_one_told_later_counts(play: Play) -> None:
    [piece] = printed_pieces(play, 1)
    read(play, piece, white="24")
    read(play, piece, white="2.4")
    assert white(play, piece) == (ml("2.4"), True)


def test_a_factor_holds_for_prints_from_then_on_and_not_for_those_before(play: Play) -> None:
    [before] = printed_pieces(play, 1)
    calibrate(play, "1.25")
    [after] = printed_pieces(play, 1)
    assert white(play, before) == (measured(estimate(play, before)), False)
    assert white(play, after) == (measured(estimate(play, after) * ml("1.25")), False)


def test_a_piece_that_was_ordered_before_a_factor_keeps_its_quote_and_is_printed_by_the_factor(play: Play) -> None:
    [piece] = play.job()
    asked = quoted(play.floor, play.piece(piece))
    calibrate(play, "1.25")
    play.scan(piece, "pretreat booth")
    play.scan(piece, "printer 1")
    assert white(play, piece)[0] == measured(estimate(play, piece) * ml("1.25"))
    assert quoted(play.floor, play.piece(piece)) == asked


def test_a_job_that_is_taken_after_a_factor_is_quoted_by_it(play: Play) -> None:
    [before] = play.job()
    calibrate(play, "1.25")
    [after] = play.job()
    one, other = (by_element(quoted(play.floor, play.piece(piece)))["white_ink"] for piece in (before, after))
    assert other == pytest.approx(one * ml("1.25"))
    assert estimate(play, before) == estimate(play, after)


def test_what_a_job_file_tells_of_ink_no_factor_changes(play: Play) -> None:
    calibrate(play, "1.25")
    [piece] = printed_pieces(play, 1, ink={"white_ml": "3"})
    assert white(play, piece) == (ml("3"), False)
    assert play.piece(piece).route[WHITE_STEP].uses.estimated_ml is None
    assert play.piece(piece).route[COLOUR_STEP].uses.estimated_ml is not None


def test_before_the_first_calibration_every_factor_is_one(play: Play) -> None:
    assert play.floor.supplies.ink.factors_at(play.now) == UNCALIBRATED


def test_every_ink_of_every_print_is_listed_once(play: Play) -> None:
    first, second = printed_pieces(play, 2)
    read(play, second, colour="1.1")
    found = [(each.piece, each.ink, each.measured) for each in printed(play.floor)]
    assert found == [
        *((first, "white", False), (first, "colour", False)),
        *((second, "white", False), (second, "colour", True)),
    ]


def test_a_print_that_was_read_and_not_scanned_is_listed_at_the_moment_of_its_reading(play: Play) -> None:
    [piece] = play.job()
    assert list(printed(play.floor)) == []
    read(play, piece, white="2.4")
    assert [(each.ink, each.at) for each in printed(play.floor)] == [("white", play.now)]
