"""The account of a job: nothing that was spent is lost, and every difference has its cause."""

from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from floor.core.cost import cause
from floor.core.cost.account import Account, account
from floor.core.cost.actual import Costs, quoted
from floor.core.cost.cause import causes
from floor.core.state.piece import Piece
from floor.core.times.cycle import Walks
from shared.codes import CodeType
from shared.events.prices import PricesSet, StockReceived
from shared.events.recorded import Fact
from shared.events.supplies import InkRead
from shared.files.shop import Shop, parse_shop
from tests.floor.plays import days, played
from tests.making import DARK_WALK, LIGHT_WALK, MONDAY, Play, card, shop_data, walk

STAIN = card(CodeType.REASON, "stain")


def costs_of(play: Play) -> Costs:
    return Costs(Walks(play.floor, play.shop), play.shop)


def account_of(play: Play, job: str = "J0001") -> Account:
    return account(costs_of(play), play.floor.jobs[job].pieces)


def why(play: Play) -> dict[str, Decimal]:
    return causes(Walks(play.floor, play.shop), account_of(play).entries)


def total(amounts: Sequence[Decimal]) -> Decimal:
    return sum(amounts, Decimal(0))


# Pieces that were given up


def test_a_piece_that_was_given_up_has_cost_what_had_gone_into_it() -> None:
    play = Play()
    begun, _ = play.job(sizes={"M": 2})
    play.scan(begun, "pretreat booth", after_s=90)
    play.cancel()
    found = account_of(play)
    assert [lost.piece.code for lost in found.given_up] == [begun]
    assert found.given_up_cost == total([charge.amount for charge in costs_of(play).of(play.piece(begun))]) > 0
    assert (found.good, found.spoiled, found.entries) == ([], [], [])


# Causes


def test_a_walk_at_the_standard_leaves_the_allowance_alone() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece)
    assert why(play).keys() == {cause.ALLOWANCE}


def test_slow_hands_are_told_as_time_and_their_overhead_as_overhead() -> None:
    play = Play()
    play.badge = "B"
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth", after_s=90)
    play.scan(other, "pretreat booth", after_s=170)
    walk(play, other, DARK_WALK[1:])
    found = why(play)
    assert found.keys() == {cause.DERIVED, cause.OVERHEAD, cause.ALLOWANCE}
    assert round(found[cause.DERIVED], 4) == Decimal("0.4000")


def test_an_allowance_for_rest_is_told_apart_from_times() -> None:
    """A tenth of 195 s at 18.00 an hour, and its overhead: no step was quicker than its standard."""
    play = Play(parse_shop(shop_data(allowance={"share": "0.10"})))
    play.badge = "B"
    [piece] = play.job()
    walk(play, piece)
    found = why(play)
    assert found.keys() == {cause.REST, cause.OVERHEAD, cause.ALLOWANCE}
    assert round(found[cause.REST], 6) == -Decimal("0.0975")


def test_a_press_that_stays_closed_longer_is_a_time_that_was_scanned() -> None:
    play = Play()
    [piece] = play.job(colour="white")
    walk(play, piece, (("printer 1", 95), ("press 1", 20), ("press 1", 150), ("packing", 20)))
    assert why(play)[cause.SCANNED] == Decimal("0.025") * 4  # a minute and a half more at 4.00 an hour


def test_dearer_hands_are_a_rate_and_dearer_blanks_a_price() -> None:
    play = Play()
    [piece] = play.job()
    event = StockReceived(
        item="heavy tee", colour="navy", size="M", quantity=1, cost_each=Decimal("2.30"), currency="USD"
    )
    play.happens(event)
    play.scan(card(CodeType.BADGE, "A"), "packing", after_s=0)
    walk(play, piece)
    found = why(play)
    assert found[cause.PRICES] == Decimal("0.30")
    assert found[cause.RATES] == Decimal("0.005555556") * Decimal("1.50")


def test_ink_that_was_read_is_told_apart_from_ink_that_was_estimated() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece)
    quoted_ml = play.piece(piece).route[1].uses.white_ml
    play.happens(InkRead(piece=piece, step=1, ink="white", ml=quoted_ml + 1))
    assert abs(why(play)[cause.INK_READ] - Decimal("0.21")) < Decimal("1e-6")


def test_spoilage_is_told_by_its_reason_up_to_the_allowance() -> None:
    play = Play()
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK)
    play.scan(STAIN, "packing", after_s=60)
    remake = play.scan(piece, "packing", after_s=5).remake or ""
    play.now += timedelta(hours=1)
    walk(play, remake, LIGHT_WALK)
    found, its = why(play), account_of(play)
    [lost] = its.spoiled
    assert found["spoiled: stain"] == lost.cost
    assert found[cause.SPOILED_BEYOND] == -its.abnormal < 0
    assert found["spoiled: stain"] + found[cause.SPOILED_BEYOND] + found[cause.ALLOWANCE] == 0


# Any ledger


@st.composite
def plays(draw: st.DrawFn) -> Play:
    """Any day, with prices that changed, blanks that came in and ink that was read, at any moment of it."""
    play = played(draw(days))
    end_s = int((play.now - MONDAY).total_seconds()) + 1
    moments = st.integers(0, end_s).map(lambda after_s: MONDAY + timedelta(seconds=after_s))
    for event in draw(st.lists(st.one_of(price_changes, deliveries, readings), max_size=6)):
        play.record([Fact(event=event, occurred_at=draw(moments))])
    return play


def at_rates(labour: Decimal, overhead: Decimal, pretreat: Decimal) -> Shop:
    prices = {"labour_per_hour": labour, "overhead_per_labour_hour": overhead, "pretreat_per_kg": pretreat}
    return parse_shop(shop_data(prices={key: str(amount) for key, amount in prices.items()}))


amounts = st.decimals(0, 50, places=2)
price_changes = st.builds(at_rates, amounts, amounts, amounts).map(lambda shop: PricesSet(prices=shop.price_list))
deliveries = st.builds(
    StockReceived,
    item=st.just("heavy tee"),
    colour=st.sampled_from(["navy", "white"]),
    size=st.just("M"),
    quantity=st.integers(0, 3),
    cost_each=st.decimals(0, 9, places=4),
    currency=st.just("USD"),
)
readings = st.builds(
    InkRead,
    piece=st.just("1000000161"),
    step=st.integers(0, 5),
    ink=st.sampled_from(["white", "colour"]),
    ml=st.decimals(0, 9, places=3),
)


def spent_on(costs: Costs, pieces: Sequence[Piece]) -> Decimal:
    return total([charge.amount for piece in pieces for charge in costs.of(piece)])


@given(plays())
def test_all_that_was_spent_is_in_a_good_piece_spoilage_or_given_up(play: Play) -> None:
    costs = costs_of(play)
    for job in play.floor.jobs.values():
        found = account(costs, job.pieces)
        accounted = total([entry.difference.actual.amount for entry in found.entries])
        left = [piece for piece in job.pieces if piece.state != "open"]
        assert accounted + found.abnormal + found.given_up_cost == spent_on(costs, left)


@given(plays())
def test_differences_are_actual_less_the_quote_of_the_good_pieces_exactly(play: Play) -> None:
    costs = costs_of(play)
    for job in play.floor.jobs.values():
        found = account(costs, job.pieces)
        good = [piece for piece in job.pieces if piece.state == "finished"]
        standard = total([charge.amount for piece in good for charge in quoted(play.floor, piece)])
        normal = spent_on(costs, [piece for piece in job.pieces if piece.state == "spoiled"]) - found.abnormal
        variances = total([entry.difference.price + entry.difference.quantity for entry in found.entries])
        assert variances == spent_on(costs, good) + normal - standard


@given(plays())
def test_spoilage_in_a_job_s_cost_is_never_above_what_was_allowed(play: Play) -> None:
    costs = costs_of(play)
    for job in play.floor.jobs.values():
        found = account(costs, job.pieces)
        spoilage = [entry.difference for entry in found.entries if entry.difference.kind.element == "spoilage"]
        normal = total([each.actual.amount for each in spoilage])
        allowed = [
            charge.amount * quantity
            for line in job.lines
            for size, quantity in line.sizes.items()
            for charge in line.quoted[size]
            if charge.element == "spoilage"
        ]
        assert 0 <= normal <= total(allowed)
        assert found.abnormal == 0 or normal == total(allowed)


@given(plays())
def test_all_causes_add_up_to_all_differences(play: Play) -> None:
    costs = costs_of(play)
    for job in play.floor.jobs.values():
        entries = account(costs, job.pieces).entries
        found = causes(costs.walks, entries)
        assert total([*found.values()]) == total([entry.difference.total for entry in entries])


@given(plays(), amounts)
def test_what_is_done_keeps_its_cost_when_prices_change_later(play: Play, labour: Decimal) -> None:
    play.record([Fact(event=PricesSet(prices=play.shop.price_list), occurred_at=MONDAY - timedelta(days=1))])
    before = [costs_of(play).of(piece) for piece in play.floor.pieces.values()]
    play.now += timedelta(seconds=1)
    play.shop = at_rates(labour, labour, labour)
    play.record([Fact(event=PricesSet(prices=play.shop.price_list), occurred_at=play.now)])
    assert [costs_of(play).of(piece) for piece in play.floor.pieces.values()] == before
