"""Paid hours, from sign-in to sign-out, held against the hours that went into pieces."""

from datetime import datetime, timedelta
from decimal import Decimal
from itertools import pairwise

from hypothesis import given

from floor.core.cost.actual import Costs
from floor.core.cost.paid import Hands, hands
from floor.core.times.cycle import Walks
from shared.codes import CodeType
from shared.files.cards import SIGN_OUT
from tests.floor.plays import Act, days, played
from tests.making import MONDAY, Play, card

START, END = MONDAY - timedelta(days=7), MONDAY + timedelta(days=400)


def of(play: Play, start: datetime = START, until: datetime | None = None) -> dict[str | None, Hands]:
    walks, until = Walks(play.floor, play.shop), until or play.now
    worked = walks.worked_between(start, until)
    return {each.badge: each for each in hands(Costs(walks, play.shop), play.shop.hours, worked, start, until)}


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


def test_hands_at_two_stations_at_once_are_paid_once() -> None:
    play = Play()
    sign_in(play, "A", "packing")
    sign_in(play, "A", "inspection", after_s=1800)
    sign_out(play, "packing", 1800)
    sign_out(play, "inspection", 1800)
    assert of(play)["A"].paid_h == Decimal("1.5")


def test_another_badge_takes_the_station_over() -> None:
    play = Play()
    sign_in(play, "A", "packing")
    sign_in(play, "B", "packing", after_s=900)
    sign_out(play, "packing", 2700)
    assert (of(play)["A"].paid_h, of(play)["B"].paid_h) == (Decimal("0.25"), Decimal("0.75"))


def test_who_forgets_to_sign_out_is_paid_until_the_day_ends_and_no_longer() -> None:
    play = Play()
    sign_in(play, "A", "packing")
    play.now += timedelta(days=3)
    assert of(play)["A"].paid_h == 15  # from nine until midnight, in the shop's zone


def test_who_is_signed_in_still_is_paid_until_now() -> None:
    play = Play()
    sign_in(play, "A", "packing")
    play.now += timedelta(hours=2)
    assert of(play)["A"].paid_h == 2


def test_of_a_week_only_its_own_hours_count() -> None:
    play = Play()
    sign_in(play, "A", "packing")
    play.now += timedelta(hours=4)
    assert of(play, MONDAY + timedelta(hours=1), MONDAY + timedelta(hours=3))["A"].paid_h == 2


def test_work_with_nobody_signed_in_is_paid_to_nobody() -> None:
    play = Play()
    [piece] = play.job()
    play.scan(piece, "pretreat booth", after_s=90)
    found = of(play, until=END)[None]
    assert (found.paid_h, found.unattributed_h) == (Decimal(0), Decimal("-0.025"))


# Any day


def signed_in_h(play: Play, badge: str, until: datetime) -> Decimal:
    """Told anew: between two moments at which anything could have changed, somebody is there or is not."""
    shop_hours = play.shop.hours
    moments = {at for station in play.floor.stations.values() for at, _, _ in station.signings} | {until}
    moments |= {shop_hours.day_bounds(shop_hours.day_of(at))[1] for at in moments}
    ordered = sorted(at for at in moments if at <= until)
    paid = timedelta(0)
    for start, end in pairwise(ordered):
        there = [station.hands_at(start) for station in play.floor.stations.values()]
        today = shop_hours.day_of(start)
        if any(each and each[0] == badge and shop_hours.day_of(each[1]) == today for each in there):
            paid += end - start
    return Decimal(paid // timedelta(microseconds=1)) / 3_600_000_000


@given(days)
def test_paid_hours_are_those_in_which_a_badge_was_signed_in_somewhere(acts: list[Act]) -> None:
    play = played(acts)
    for badge, found in of(play, until=END).items():
        if badge is not None:
            assert abs(found.paid_h - signed_in_h(play, badge, END)) < Decimal("1e-7")


@given(days)
def test_the_hours_in_pieces_are_those_that_the_pieces_cost(acts: list[Act]) -> None:
    play = played(acts)
    found = of(play, until=END)
    charged = {True: Decimal(0), False: Decimal(0)}
    walks = Walks(play.floor, play.shop)
    for piece in play.floor.pieces.values():
        over = {time.step.label for time in walks.of(piece) if time.over}
        for charge in Costs(walks, play.shop).of(piece):
            if charge.element == "labour":
                charged[charge.kind.what in over] += charge.quantity
    assert sum((each.absorbed_h for each in found.values()), Decimal(0)) == charged[True]
    assert sum((each.paid_h for each in found.values()), Decimal(0)) == sum(
        (each.absorbed_h + each.unattributed_h for each in found.values()), Decimal(0)
    )
