"""Lots: which of them was in use where and when, and which went into a piece."""

from datetime import datetime, timedelta
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.core.folds.fold import fold_all
from floor.core.state.floor import Floor
from floor.core.state.supplies import Lots
from floor.core.trace.lots import lots_answer, lots_of, open_lot
from shared.events.recorded import Fact, Recorded
from shared.events.supplies import LotOpened
from shared.wish import NotPossible
from tests.making import DARK_WALK, MONDAY, Play, large_shop, walk


def opened(play: Play, lot: str, at: datetime | None = None, **wishes: Any) -> None:
    event = LotOpened(**{"material": "pretreat", "lot": lot, **wishes})
    play.record([Fact(event=event, occurred_at=at or play.now)])


def names(play: Play, piece: str) -> list[str]:
    return [used.told() for used in lots_of(play.floor, play.shop, play.piece(piece))]


def test_every_step_takes_from_the_lot_that_is_in_use() -> None:
    play = Play()
    opened(play, "B1", material="blank", item="heavy tee")
    opened(play, "L1")
    opened(play, "W1", material="white_ink")
    opened(play, "C1", material="colour_ink")
    opened(play, "S1", material="cover_sheet")
    [piece] = play.job()
    walk(play, piece)
    used = lots_of(play.floor, play.shop, play.piece(piece))
    assert [(each.step, each.name()) for each in used] == [
        ("pretreat", "heavy tee B1"),
        ("pretreat", "pretreat L1"),
        ("underlayer", "white ink W1"),
        ("colour", "colour ink C1"),
        ("cure", "cover sheet S1"),
    ]


def test_a_light_garment_takes_no_white_and_no_pretreat() -> None:
    play = Play()
    opened(play, "L1")
    opened(play, "W1", material="white_ink")
    [piece] = play.job(colour="white")
    walk(play, piece, (("printer 1", 95),))
    assert names(play, piece) == []


def test_a_lot_is_in_use_until_another_of_its_material_is_opened() -> None:
    play = Play()
    first, second = play.job(sizes={"M": 2})
    opened(play, "L1")
    play.scan(first, "pretreat booth")
    play.now += timedelta(seconds=1)
    opened(play, "W1", material="white_ink")
    opened(play, "L2")
    play.scan(second, "pretreat booth")
    assert names(play, first) == ["pretreat L1"]
    assert names(play, second) == ["pretreat L2"]


def test_before_the_first_lot_was_opened_nothing_is_of_one() -> None:
    play = Play()
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    opened(play, "L1", at=play.now + timedelta(seconds=1))
    assert names(play, piece) == []


def test_a_lot_that_is_told_late_counts_from_when_it_was_opened() -> None:
    play = Play()
    opened(play, "L1")
    [piece] = play.job()
    play.scan(piece, "pretreat booth", after_s=600)
    opened(play, "L2", at=play.now - timedelta(seconds=300))
    assert names(play, piece) == ["pretreat L2"]


def test_the_right_lot_opened_at_the_same_moment_takes_the_place_of_a_wrong_one() -> None:
    play = Play()
    opened(play, "wrong")
    opened(play, "right")
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    assert names(play, piece) == ["pretreat right"]


def test_a_lot_for_one_station_leaves_the_others_alone() -> None:
    play = Play(large_shop())
    opened(play, "W1", material="white_ink")
    opened(play, "W2", material="white_ink", at_station="printer 2", at=MONDAY + timedelta(seconds=1))
    first, second = play.job(sizes={"M": 2})
    for piece, printer in ((first, "printer 1"), (second, "printer 2")):
        play.scan(piece, "pretreat booth")
        play.scan(piece, printer)
    assert names(play, first) == ["white ink W1"]
    assert names(play, second) == ["white ink W2"]


def test_of_a_step_that_nobody_saw_the_lots_of_every_station_that_does_it_are_told_as_possible() -> None:
    play = Play()
    opened(play, "L1", at_station="pretreat booth")
    [piece] = play.job()
    walk(play, piece, DARK_WALK[1:2])
    assert names(play, piece) == ["perhaps pretreat L1"]


def test_blanks_of_one_item_are_not_those_of_another() -> None:
    play = Play()
    opened(play, "B1", material="blank", item="hooded sweatshirt")
    [piece] = play.job()
    walk(play, piece)
    assert names(play, piece) == []


@pytest.mark.parametrize(
    ("wishes", "why"),
    [
        ({"lot": " "}, "has a name"),
        ({"lot": "L" * 121}, "has a name"),
        ({"lot": "L\0"}, "has a name"),
        ({"at_station": "the moon"}, "no station 'the moon'; stations here: pretreat booth"),
        ({"item": "heavy tee"}, "Say --item for blanks"),
        ({"material": "blank"}, "Say --item for blanks"),
        ({"material": "blank", "item": "cap"}, "no item 'cap'; items here: heavy tee"),
    ],
)
def test_a_lot_that_cannot_be_is_refused_by_name(wishes: dict[str, Any], why: str) -> None:
    event = LotOpened(**{"material": "pretreat", "lot": "L1", **wishes})
    with pytest.raises(NotPossible, match=why):
        open_lot(Floor(), large_shop(), event, MONDAY)


def test_a_lot_that_is_in_use_is_not_opened_again() -> None:
    play = Play()
    opened(play, "L1")
    with pytest.raises(NotPossible, match="Pretreat L1 was in use there by then"):
        open_lot(play.floor, play.shop, LotOpened(material="pretreat", lot="L1"), play.now)
    opened(play, "L2", at=MONDAY + timedelta(hours=1))
    later = MONDAY + timedelta(hours=2)
    assert open_lot(play.floor, play.shop, LotOpened(material="pretreat", lot="L1"), later).occurred_at == later


def test_the_list_says_until_when_each_lot_was_in_use() -> None:
    play = Play()
    opened(play, "L1")
    opened(play, "W1", material="white_ink", at=MONDAY + timedelta(hours=1))
    opened(play, "L2", at=MONDAY + timedelta(hours=2), at_station="pretreat booth")
    opened(play, "L3", at=MONDAY + timedelta(hours=3))
    found = {each.lot: each.until for each in lots_answer(play.floor)}
    third = MONDAY + timedelta(hours=3)
    assert found == {"L1": third, "W1": None, "L2": third, "L3": None}


stations = st.sampled_from([None, "printer 1", "printer 2"])
openings = st.lists(st.tuples(st.integers(0, 20), st.sampled_from("ABC"), stations), max_size=12)


@given(openings, st.integers(0, 20), stations)
def test_the_lot_in_use_is_the_last_that_was_opened_there_in_whatever_order_the_news_came(
    told: list[tuple[int, str, str | None]], second: int, station: str | None
) -> None:
    lots = Lots()
    there: tuple[int, int, str] | None = None
    for seq, (at, lot, where) in enumerate(told):
        lots.open(MONDAY + timedelta(seconds=at), seq, LotOpened(material="white_ink", lot=lot, at_station=where))
        if at <= second and where in {station, None}:
            there = max(filter(None, (there, (at, seq, lot))))
    found = lots.in_use("white_ink", None, station, MONDAY + timedelta(seconds=second))
    assert (found.event.lot if found else None) == (there[2] if there else None)


@given(openings, st.randoms(use_true_random=False))
def test_lots_fold_to_the_same_in_any_order_of_arrival(told: list[tuple[int, str, str | None]], chance: Any) -> None:
    distinct = list({at: (at, lot, where) for at, lot, where in told}.values())
    rows = [
        (MONDAY + timedelta(seconds=at), LotOpened(material="pretreat", lot=lot, at_station=where))
        for at, lot, where in distinct
    ]
    shuffled = list(rows)
    chance.shuffle(shuffled)
    one, other = (
        [
            msgspec.structs.replace(each, row=0)
            for each in lots_answer(
                fold_all(
                    Recorded(seq=n, occurred_at=at, recorded_at=MONDAY, event=event)
                    for n, (at, event) in enumerate(order, start=1)
                )
            )
        ]
        for order in (rows, shuffled)
    )
    assert one == other
