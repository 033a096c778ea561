"""Paid hours, from sign-in to sign-out, held against the hours that went into pieces."""

from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given

from floor.core.cost.actual import Costs
from floor.core.cost.paid import PaidHours, paid_hours
from floor.core.times.cycle import Walks
from shared.codes import CodeType
from shared.files.cards import SIGN_OUT
from tests.floor.plays import Act, days, played
from tests.making import MONDAY, Play, card

START, END = MONDAY - timedelta(days=7), MONDAY + timedelta(days=400)


def of(play: Play, start: datetime = START, until: datetime | None = None) -> dict[str | None, PaidHours]:
    walks, until = Walks(play.floor, play.shop), until or play.now
    worked = walks.worked_between(start, until)
    return {each.badge: each for each in paid_hours(Costs(walks, play.shop), worked, start, until)}


def sign_in(play: Play, badge: str, station: str, after_s: float = 0) -> None:
    play.scan(card(CodeType.BADGE, badge), station, after_s=after_s)


def sign_out(play: Play, station: str, after_s: float) -> None:
    play.scan(card(CodeType.COMMAND, SIGN_OUT), station, after_s=after_s)


def test_hands_are_paid_from_sign_in_to_sign_out_at_their_rate() -> None:
    play = Play()
    sign_in(play, "A", "packing")
    sign_out(play, "packing", 1800)
    play.now += timedelta(hours=2)
    assert (of(play)["A"].paid_h, of(play)["A"].paid) == (Decimal("0.5"), Decimal("9.75"))


def test_what_went_into_pieces_is_told_apart_from_the_rest() -> None:
    play = Play()
    [piece] = play.job()
    sign_in(play, "A", "pretreat booth")
    play.scan(piece, "pretreat booth", after_s=90)
    sign_out(play, "pretreat booth", 3510)
    found = of(play)["A"]
    assert (found.paid_h, found.absorbed_h, found.unattributed_h) == (Decimal(1), Decimal("0.025"), Decimal("0.975"))
    assert found.unattributed == Decimal("0.975") * Decimal("19.50")


def test_a_sign_out_anywhere_ends_what_is_paid() -> None:
    play = Play()
    sign_in(play, "A", "packing")
    sign_in(play, "A", "inspection", after_s=1800)
    sign_out(play, "packing", 1800)
    sign_out(play, "inspection", 1800)
    assert (of(play)["A"].paid_h, of(play)["A"].not_signed_out) == (Decimal(1), 0)


def test_who_comes_back_is_paid_again() -> None:
    play = Play()
    for _ in range(2):
        sign_in(play, "A", "packing", after_s=3600)
        sign_out(play, "packing", 1800)
    assert of(play)["A"].paid_h == 1


def test_who_forgets_to_sign_out_is_paid_until_the_last_read_and_that_is_told() -> None:
    play = Play()
    [piece] = play.job()
    sign_in(play, "A", "pretreat booth")
    play.scan(piece, "pretreat booth", after_s=900)
    play.now += timedelta(days=3)
    assert (of(play)["A"].paid_h, of(play)["A"].not_signed_out) == (Decimal("0.25"), 1)


def test_a_badge_that_never_signed_in_is_there_while_it_reads() -> None:
    """Its first read shows that its standard was worked: 90 s of pretreating."""
    play = Play()
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth", badge="B")
    play.scan(other, "pretreat booth", badge="B", after_s=810)
    assert of(play, until=END)["B"].paid_h == Decimal("0.25")


def test_lunch_is_not_paid_unless_something_was_read_in_it() -> None:
    """From twelve to half past: three hours after the first read."""
    play = Play()
    sign_in(play, "A", "packing")
    sign_out(play, "packing", 4 * 3600)
    assert of(play)["A"].paid_h == Decimal("3.5")


def test_of_a_week_only_the_shifts_count_that_began_in_it() -> None:
    play = Play()
    for _ in range(2):
        sign_in(play, "A", "packing")
        sign_out(play, "packing", 3600)
        play.now = MONDAY + timedelta(days=7)
    found = of(play, MONDAY + timedelta(days=6), MONDAY + timedelta(days=8))
    assert found["A"].paid_h == 1


def test_of_hands_that_nobody_knows_no_more_is_known_than_what_went_into_pieces() -> None:
    play = Play()
    [piece] = play.job()
    play.scan(piece, "pretreat booth", after_s=90)
    found = of(play, until=END)[None]
    assert (found.paid_h, found.absorbed_h, found.unattributed_h) == (Decimal("0.025"), Decimal("0.025"), Decimal(0))


# Any day


@given(days)
def test_no_hands_have_more_in_pieces_than_they_were_there(acts: list[Act]) -> None:
    play = played(acts)
    for found in of(play, until=END).values():
        assert 0 <= found.absorbed_h <= found.paid_h
        assert 0 <= found.absorbed <= found.paid


@given(days)
def test_the_hours_in_pieces_are_those_that_the_pieces_cost(acts: list[Act]) -> None:
    play = played(acts)
    walks = Walks(play.floor, play.shop)
    charged = Decimal(0)
    for piece in play.floor.pieces.values():
        over = {time.step.label for time in walks.of(piece) if time.over}
        for charge in Costs(walks, play.shop).of(piece):
            if charge.element == "labour" and charge.kind.what in over:
                charged += charge.quantity
    absorbed = sum((each.absorbed_h for each in of(play, until=END).values()), Decimal(0))
    assert absorbed == pytest.approx(charged, abs=Decimal("1e-7"))
