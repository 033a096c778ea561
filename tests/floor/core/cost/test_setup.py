"""Setup: once for a line, borne in equal shares by its good pieces, quoted and actual alike."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from floor.core.cost.actual import quoted
from floor.core.cost.quote import line_cost, quote_answer, quoted_lines
from floor.core.figures.week import week_report
from shared.codes import CodeType
from shared.files.jobfile import parse_job
from shared.files.shop import Shop, parse_shop
from shared.money import Charge, Costing, by_element
from shared.plain import plain
from tests.floor.core.cost.using import used
from tests.making import MONDAY, Play, card, job_data, shop_data, walk

CENT = Decimal("0.01")
SETUP_S = {"colour": 240, "pretreat": 60}
"""The printer and its hands for four minutes, the hands that pretreat for one."""


def setting_up(**setup_s: float) -> Shop:
    data = shop_data()
    for key, seconds in (setup_s or SETUP_S).items():
        data["steps"][key]["setup_s"] = seconds
    return parse_shop(data)


def line_of(its_shop: Shop, **wishes: Any) -> Any:
    [line] = quoted_lines(parse_job(job_data(**wishes), its_shop), its_shop)
    return line


def setups(costing: Costing) -> dict[tuple[str, str], Charge]:
    return {(charge.element, charge.kind.what): charge for charge in costing if charge.setup}


def test_a_piece_bears_its_share_of_the_hours_at_the_rate_of_hands_and_machine() -> None:
    found = setups(line_of(setting_up(), sizes={"S": 4, "M": 6}).quoted["M"])
    assert {key: (charge.quantity, charge.price) for key, charge in found.items()} == {
        ("labour", "setup pretreat"): (Decimal("0.001666667"), Decimal(18)),
        ("labour", "setup colour"): (Decimal("0.006666667"), Decimal(18)),
        ("machine", "setup colour"): (Decimal("0.006666667"), Decimal(6)),
    }


@pytest.mark.parametrize("pieces", [1, 7, 400])
def test_a_line_costs_its_setup_once_however_many_pieces_it_has(pieces: int) -> None:
    with_it, without = (line_cost(line_of(its, sizes={"M": pieces})) for its in (setting_up(), parse_shop(shop_data())))
    hands_h, machine_h = Decimal(300) / 3600, Decimal(240) / 3600
    assert with_it["labour"] - without["labour"] == pytest.approx(hands_h * 18, abs=Decimal("1e-4"))
    assert with_it["machine"] - without["machine"] == pytest.approx(machine_h * 6, abs=Decimal("1e-4"))
    assert with_it["overhead"] - without["overhead"] == pytest.approx(hands_h * Decimal("9.5"), abs=Decimal("1e-4"))
    assert with_it["garment"] == without["garment"]


def test_every_place_is_set_up_for_itself() -> None:
    found = setups(line_of(setting_up(colour=240), places=("front", "back")).quoted["M"])
    assert {what for _, what in found} == {"setup colour front", "setup colour back"}


def test_a_route_may_have_a_setup_of_its_own() -> None:
    data = shop_data()
    data["routes"]["light garment"][0]["setup_s"] = 3600
    found = setups(line_of(parse_shop(data), colour="white").quoted["M"])
    assert found["machine", "setup colour"].quantity == 1


def test_a_shop_that_names_no_setup_has_no_charge_for_it() -> None:
    assert not setups(line_of(parse_shop(shop_data())).quoted["M"])


def test_the_quote_tells_what_a_piece_costs_for_each_place_and_for_setup() -> None:
    its_shop = setting_up(colour=240)
    line: Any = plain(quote_answer([line_of(its_shop, places=("front", "back"))], "USD", its_shop.unit))["lines"][0]
    assert line["parts"].keys() == {"front", "back", "setup", "all else"}
    assert sum(map(Decimal, line["parts"].values())) == Decimal(line["each"]["total"])
    assert line["parts"]["setup"] == "3.20"  # 2 × 240 s at 18 and 6 an hour
    assert line["parts"]["front"] == line["parts"]["back"]


def test_a_place_whose_name_ends_like_another_s_is_not_mistaken_for_it() -> None:
    line = line_of(setting_up(colour=240), places=("left", "upper left"))
    answer: Any = plain(quote_answer([line], "USD", Decimal("0.01")))
    assert answer["lines"][0]["parts"]["left"] == answer["lines"][0]["parts"]["upper left"]


# Actual


def walked(play: Play, *pieces: str) -> None:
    for piece in pieces:
        play.now += timedelta(hours=1)
        walk(play, piece)


def setup_amount(play: Play, piece: str) -> Decimal:
    charges = setups(used(play.floor, play.shop, play.piece(piece)))
    return sum((charge.amount for charge in charges.values()), Decimal(0))


def test_a_finished_piece_bears_the_share_that_was_quoted() -> None:
    play = Play(setting_up())
    one, *_ = play.job(sizes={"M": 5})
    walked(play, one)
    piece = play.piece(one)
    assert setups(used(play.floor, play.shop, piece)) == setups(quoted(play.floor, piece)) != {}


def test_a_piece_that_was_not_begun_bears_none() -> None:
    play = Play(setting_up())
    one, *_ = play.job(sizes={"M": 5})
    assert setup_amount(play, one) == 0


def test_a_spoiled_piece_leaves_its_share_to_its_remake_so_that_a_line_is_set_up_once() -> None:
    play = Play(setting_up())
    pieces = play.job(sizes={"M": 3})
    before = {piece: play.piece(piece) for piece in pieces}
    play.scan(pieces[0], "pretreat booth")
    play.scan(card(CodeType.REASON, "banding"), "inspection")
    play.scan(pieces[0], "inspection", after_s=5)
    remake = play.piece(pieces[0]).remake
    assert remake is not None
    walked(play, remake, *pieces[1:])
    assert setup_amount(play, pieces[0]) == 0
    share = sum(charge.amount for charge in setups(quoted(play.floor, before[pieces[0]])).values())
    assert sum(setup_amount(play, piece) for piece in (*pieces, remake)) == 3 * share


def test_setup_makes_no_variance_and_its_hours_bear_overhead() -> None:
    play = Play(setting_up())
    pieces = play.job(sizes={"M": 3})
    walked(play, *pieces[:2])
    [job] = week_report(play.floor, play.shop, "2026-W48", MONDAY + timedelta(days=3)).jobs
    plain = Play()
    walked(plain, *plain.job(sizes={"M": 3})[:2])
    [without] = week_report(plain.floor, plain.shop, "2026-W48", MONDAY + timedelta(days=3)).jobs
    for element in ("labour", "machine", "overhead"):
        assert job.variance[element].price == without.variance[element].price
        assert abs(job.variance[element].quantity - without.variance[element].quantity) <= CENT  # of rounding
        assert job.actual[element] > without.actual[element]


def test_the_parts_of_a_quote_are_those_of_its_elements() -> None:
    line = line_of(setting_up(), sizes={"M": 4, "2XL": 3})
    whole = sum(line_cost(line).values())
    pieces = sum(sum(by_element(line.quoted[size]).values()) * n for size, n in line.sizes.items())
    assert whole == pieces


def test_a_step_whose_key_begins_like_set_up_is_paid_once() -> None:
    data = shop_data()
    data["steps"]["setup check"] = {**data["steps"]["pretreat"], "event": "checked", "touch_s": 36}
    data["routes"]["light garment"].insert(0, "setup check")
    data["stations"][0]["steps"].append("setup check")
    play = Play(parse_shop(data))
    [code] = play.job(colour="white")
    play.scan(code, data["stations"][0]["name"])
    piece = play.piece(code)
    assert not any(charge.setup for charge in quoted(play.floor, piece))
    paid = [charge for charge in used(play.floor, play.shop, piece) if charge.element == "labour"]
    assert [(charge.step, charge.quantity) for charge in paid] == [("setup check", Decimal("0.01"))]
