"""The actual cost: what the ledger shows went into each piece."""

from decimal import Decimal

import pytest
from hypothesis import given

from floor.core.cost.actual import quoted, spoilage
from floor.core.cost.variance import compared, differences, sums_of
from shared.codes import CodeType
from shared.files.shop import parse_shop
from shared.money import Costing, Element, by_element
from tests.floor.core.cost.using import used
from tests.floor.plays import Act, days, played
from tests.making import DARK_WALK, LIGHT_WALK, Play, card, large_shop, shop_assuming, shop_data, walk

STAIN = card(CodeType.REASON, "stain")


@pytest.fixture
def play() -> Play:
    return Play()


def spent(play: Play, code: str) -> dict[Element, Decimal]:
    return by_element(used(play.floor, play.shop, play.piece(code)))


def less_quote(play: Play, code: str) -> dict[Element, Decimal]:
    """Actual less quoted, exact, without the allowance for spoilage."""
    standard = by_element(quoted(play.floor, play.piece(code)))
    return {element: spent(play, code)[element] - standard[element] for element in standard if element != "spoilage"}


def test_a_piece_that_was_only_opened_has_cost_nothing(play: Play) -> None:
    [piece] = play.job()
    assert used(play.floor, play.shop, play.piece(piece)) == ()


def test_the_first_step_draws_the_blank(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth", after_s=90)
    assert spent(play, piece)["garment"] == 2
    assert spent(play, piece)["pretreat"] == Decimal("0.336")


def test_a_step_that_was_assumed_has_used_what_it_uses(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "printer 1")
    assert spent(play, piece)["pretreat"] == Decimal("0.336")


def test_what_lies_ahead_has_cost_nothing(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:3])
    assert spent(play, piece)["colour_ink"] == 0


def test_a_walk_at_the_standard_costs_what_was_quoted_to_the_last_billionth(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    assert set(less_quote(play, piece).values()) == {Decimal(0)}


def test_a_light_walk_at_the_standard_costs_what_was_quoted(play: Play) -> None:
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK)
    assert set(less_quote(play, piece).values()) == {Decimal(0)}


def test_steps_that_nobody_saw_cost_what_was_quoted() -> None:
    play = Play(shop_assuming("underlayer"))
    [piece] = play.job()
    walk(play, piece, (("inspection", 400), *DARK_WALK[3:]))
    assert play.piece(piece).walk[1].assumed
    assert set(less_quote(play, piece).values()) == {Decimal(0)}


def test_hands_are_measured_on_a_hand_step(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.badge = "B"
    play.scan(one, "pretreat booth", after_s=90)
    play.scan(other, "pretreat booth", after_s=120)
    assert spent(play, other)["labour"] == pytest.approx(Decimal(120) / 3600 * 18, abs=Decimal("1e-7"))


def test_hands_are_paid_at_the_rate_of_their_badge(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth", after_s=90, badge="A")
    assert spent(play, piece)["labour"] == Decimal("0.025") * Decimal("19.50")


def test_a_badge_without_a_rate_is_paid_at_the_shop_s(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth", after_s=90, badge="B")
    assert spent(play, piece)["labour"] == Decimal("0.025") * 18


def test_overhead_goes_with_the_hours_that_were_worked(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.badge = "A"
    play.scan(one, "pretreat booth", after_s=90)
    play.scan(other, "pretreat booth", after_s=180)
    assert spent(play, other)["overhead"] == Decimal("0.05") * Decimal("9.50")


def test_a_press_is_paid_from_closed_to_opened_and_its_hands_at_the_standard(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:5])
    play.scan(piece, "press 1", after_s=360)
    charges = {(charge.element, charge.kind.what): charge for charge in used(play.floor, play.shop, play.piece(piece))}
    assert charges["machine", "cure"].amount == Decimal("0.1") * 4
    assert charges["labour", "cure"].quantity == Decimal("0.005555556")


def test_a_printer_is_paid_for_what_is_left_when_hands_have_loaded_it(play: Play) -> None:
    one, other = play.job(colour="white", sizes={"M": 2})
    play.scan(one, "printer 1", after_s=95)
    play.scan(other, "printer 1", after_s=20 + 90)
    charges = {charge.element: charge for charge in used(play.floor, play.shop, play.piece(other))}
    assert charges["machine"].quantity == Decimal("0.025")


def test_a_printer_that_waited_for_hands_is_paid_for_its_standard(play: Play) -> None:
    """Its print takes 75 s; it stood for 180 s until somebody took the piece off."""
    one, other = play.job(colour="white", sizes={"M": 2})
    play.scan(one, "printer 1", after_s=95)
    play.scan(other, "printer 1", after_s=20 + 180)
    charges = {charge.element: charge for charge in used(play.floor, play.shop, play.piece(other))}
    assert charges["machine"].quantity == Decimal("0.020833333")


def test_a_printer_is_never_paid_less_than_nothing(play: Play) -> None:
    one, other = play.job(colour="white", sizes={"M": 2})
    play.scan(one, "printer 1", after_s=95)
    play.scan(other, "printer 1", after_s=5)
    charges = {charge.element: charge for charge in used(play.floor, play.shop, play.piece(other))}
    assert charges["machine"].quantity == 0


def test_a_machine_is_paid_at_the_rate_of_the_station_that_did_the_step() -> None:
    play = Play(large_shop())
    [piece] = play.job(colour="white")
    play.scan(piece, "printer 2", after_s=95)
    charges = {charge.element: charge for charge in used(play.floor, play.shop, play.piece(piece))}
    assert charges["machine"].price == 7


def test_a_station_that_left_the_shop_file_is_paid_like_the_first_that_does_the_step() -> None:
    play = Play(large_shop())
    [piece] = play.job(colour="white")
    play.scan(piece, "printer 2", after_s=95)
    play.shop = parse_shop(shop_data())
    charges = {charge.element: charge for charge in used(play.floor, play.shop, play.piece(piece))}
    assert charges["machine"].price == 6


def test_dearer_blanks_show_in_what_is_made_after_the_quote(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    data = shop_data()
    data["items"]["heavy tee"]["cost"] = "2.25"
    play.shop = parse_shop(data)
    assert less_quote(play, piece)["garment"] == Decimal("0.25")


def test_the_quote_stays_what_it_was_when_prices_change(play: Play) -> None:
    [piece] = play.job()
    before = quoted(play.floor, play.piece(piece))
    play.shop = parse_shop(shop_data(prices={"labour_per_hour": "99.00"}))
    assert quoted(play.floor, play.piece(piece)) == before


def test_all_that_went_into_a_spoiled_piece_is_its_spoilage(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:2])
    play.spoil(piece, "printer 1")
    charges = used(play.floor, play.shop, play.piece(piece))
    [lost] = [spoilage(charges)]
    assert (lost.element, lost.amount) == ("spoilage", sum(charge.amount for charge in charges))
    assert lost.amount > 2


def test_a_remake_draws_a_blank_of_its_own(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    remake = play.spoil(piece, "pretreat booth").remake or ""
    assert spent(play, remake)["garment"] == 0
    play.scan(remake, "pretreat booth", after_s=90)
    assert spent(play, remake)["garment"] == 2


@given(days)
def test_nothing_costs_less_than_nothing(acts: list[Act]) -> None:
    play = played(acts)
    for piece in play.floor.pieces.values():
        assert all(charge.amount >= 0 for charge in used(play.floor, play.shop, piece))


@given(days)
def test_a_piece_that_was_neither_begun_nor_spoiled_alone_costs_nothing(acts: list[Act]) -> None:
    play = played(acts)
    for piece in play.floor.pieces.values():
        assert bool(used(play.floor, play.shop, piece)) == bool(piece.facts or piece.spoiled)


@given(days)
def test_why_a_piece_differs_from_its_quote_adds_up_to_the_cent(acts: list[Act]) -> None:
    play = played(acts)
    for piece in play.floor.pieces.values():
        actual: Costing = used(play.floor, play.shop, piece)
        sums = [sums_of((charge, 1) for charge in costing) for costing in (actual, quoted(play.floor, piece))]
        found = compared(differences(*sums))
        parts = sum(each.price + each.quantity for each in found.variance.values())
        assert parts == found.total == found.actual["total"] - found.quoted["total"]


def test_the_only_badge_of_a_shop_is_paid_its_own_rate_though_nobody_signs_in() -> None:
    play = Play(parse_shop(shop_data(badges=[{"name": "Ada", "per_hour": "36.00"}])))
    [piece] = play.job()
    play.scan(piece, "pretreat booth", after_s=90)
    assert spent(play, piece)["labour"] == Decimal("0.025") * 36
