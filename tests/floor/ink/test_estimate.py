"""What one print takes, as data."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.ink.coverage import InkUse
from floor.ink.estimate import answer, costs, estimated
from floor.ink.underlayer import Garment
from shared.files.tables import Shade
from tests.floor.ink.drawn import patch
from tests.making import shop

ml = st.decimals(0, 50, places=6)


def answer_of(shade: Shade, *colour: int) -> dict[str, object]:
    garment = Garment(shade=shade, colour="navy", looks=(31, 42, 68))
    size_mm = (Decimal(254), Decimal("254.005"))
    return answer(estimated([patch(*colour)], (1000, 1000), size_mm, garment, shop().file.inks), shop())


def test_an_answer_says_what_was_printed_on_what_and_how_large() -> None:
    got = answer_of("dark", 255, 255, 255)
    assert (got["pixels"], got["width_mm"], got["height_mm"], got["dpi"]) == ([1000, 1000], "254.00", "254.01", 100)
    assert (got["shade"], got["colour"], got["garment"], got["currency"]) == ("dark", "navy", "#1f2a44", "USD")


def test_an_answer_says_how_much_of_each_ink_and_at_what_cost() -> None:
    got = answer_of("dark", 255, 255, 255)
    assert got["coverage"] == {"white": "1.0000", "colour": "0.0000"}
    assert Decimal(str(got["white_ml"])) == pytest.approx(Decimal("1.512"), abs=Decimal("0.001"))
    assert got["colour_ml"] == "0.000000"
    assert got["cost"] == {"white_ink": "0.32", "colour_ink": "0.00", "total": "0.32"}


def test_a_light_garment_costs_no_white() -> None:
    got = answer_of("light", 0, 0, 0)
    assert (got["white_ml"], got["coverage"]) == ("0.000000", {"white": "0.0000", "colour": "1.0000"})


@given(ml, ml)
def test_the_costs_add_up_to_their_total_and_that_is_right_to_half_a_cent(white: Decimal, colour: Decimal) -> None:
    got = {key: Decimal(amount) for key, amount in costs(InkUse(white_ml=white, colour_ml=colour), shop()).items()}
    exact = white * shop().prices.white_ink_per_ml + colour * shop().prices.colour_ink_per_ml
    assert got["white_ink"] + got["colour_ink"] == got["total"]
    assert abs(got["total"] - exact) <= Decimal("0.005")
