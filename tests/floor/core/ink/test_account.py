"""The account of an ink: drawn is printed and lost, whatever was told of it, and in whatever order."""

from datetime import datetime, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.core.ink.account import InkAccount, account
from floor.core.ink.use import Printed, printed
from floor.core.state.ink_book import InkBook, Told, tell
from shared.events.supplies import InkLevelRead
from shared.route import Step
from tests.floor.core.ink import inked
from tests.floor.core.ink.inked import ml, printed_pieces, read, refilled
from tests.making import MONDAY, Play

STEP = Step(key="underlayer", event="underlayer printed", kind="machine", scans="out", if_missed="assume")
END = MONDAY + timedelta(days=7)


@pytest.fixture
def play() -> Play:
    return Play()


def of(play: Play, start: datetime = MONDAY, end: datetime = END) -> InkAccount:
    return account(play.floor.supplies.ink, list(printed(play.floor)), "white", start, end)


def test_ink_that_left_the_tanks_and_is_on_no_piece_is_lost(play: Play) -> None:
    inked.level(play, "900")
    for piece in printed_pieces(play, 2):
        read(play, piece, white="2.5")
    refilled(play, "200")
    inked.level(play, "1080")
    found = of(play)
    assert (found.drawn_ml, found.printed_ml, found.lost_ml) == (ml("20"), ml("5"), ml("15"))
    assert (found.prints, found.read) == (2, 2)


def test_without_a_second_level_nobody_knows_what_was_lost(play: Play) -> None:
    inked.level(play, "900")
    [piece] = printed_pieces(play, 1)
    read(play, piece, white="2.5")
    found = of(play)
    assert (found.drawn_ml, found.printed_ml, found.lost_ml) == (None, ml("2.5"), None)


def test_a_loss_is_told_in_the_span_in_which_it_is_found(play: Play) -> None:
    inked.level(play, "900")
    found_at = inked.level(play, "890")
    inked.level(play, "880")
    assert of(play, MONDAY, found_at).lost_ml == 10
    assert of(play, found_at).lost_ml == 10


def test_a_level_that_is_told_again_for_its_moment_is_corrected(play: Play) -> None:
    inked.level(play, "900")
    inked.level(play, "8900")
    inked.tell(play, InkLevelRead(ink="white", ml=ml("890")), timedelta(0))
    assert of(play).lost_ml == 10


def test_one_ink_is_not_another(play: Play) -> None:
    inked.level(play, "900", "colour")
    inked.level(play, "890", "colour")
    assert of(play).lost_ml is None


moments = st.integers(0, 40).map(lambda hours: MONDAY + timedelta(hours=hours))
amounts = st.decimals(0, 1000, places=9)
told = st.lists(st.tuples(moments, amounts), max_size=12)


def book_of(levels: list[tuple[datetime, Decimal]], refills: list[tuple[datetime, Decimal]]) -> InkBook:
    book = InkBook()
    for seq, (at, amount) in enumerate(levels):
        tell(book.levels, "white", Told(at, seq, amount))
    for seq, (at, amount) in enumerate(refills):
        tell(book.refills, "white", Told(at, seq, amount))
    return book


def print_of(at: datetime, amount: Decimal) -> Printed:
    return Printed(piece="1", step=STEP, ink="white", at=at, ml=amount, measured=False, estimated_ml=None)


@given(levels=told, refills=told, prints=told, ends=st.lists(moments, min_size=2, max_size=5, unique=True))
def test_drawn_is_printed_and_lost_and_spans_add_up_to_the_last_billionth(
    levels: list[tuple[datetime, Decimal]],
    refills: list[tuple[datetime, Decimal]],
    prints: list[tuple[datetime, Decimal]],
    ends: list[datetime],
) -> None:
    book, every = book_of(levels, refills), [print_of(*each) for each in prints]
    ends = sorted(ends)
    parts = [account(book, every, "white", *span) for span in pairwise(ends)]
    whole = account(book, every, "white", ends[0], ends[-1])
    for each in (*parts, whole):
        assert (each.lost_ml is None) == (each.drawn_ml is None)
        assert each.drawn_ml is None or each.drawn_ml == each.printed_ml + (each.lost_ml or 0)
    assert sum(each.printed_ml for each in parts) == whole.printed_ml
    assert sum(each.lost_ml or 0 for each in parts) == (whole.lost_ml or 0)


@given(first=amounts, last=amounts, refills=told, prints=told)
def test_with_levels_at_both_ends_drawn_is_the_first_and_the_refills_less_the_last(
    first: Decimal,
    last: Decimal,
    refills: list[tuple[datetime, Decimal]],
    prints: list[tuple[datetime, Decimal]],
) -> None:
    end = MONDAY + timedelta(hours=41)
    book = book_of([(MONDAY, first), (end, last)], refills)
    counted = dict(refills)
    drawn = account(book, [print_of(*each) for each in prints], "white", MONDAY, end).drawn_ml
    assert drawn == first + sum(counted.values()) - last
