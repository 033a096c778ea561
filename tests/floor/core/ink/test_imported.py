"""A printer's log: read whole with the shop's columns, or refused whole."""

from collections.abc import Sequence
from contextlib import suppress
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.core.ink.imported import Imported, read_import
from floor.core.ink.use import ink_used
from shared.events.supplies import InkRead
from shared.files.problems import Problem, ProblemsFound
from shared.files.shop import Shop, parse_shop
from tests.floor.core.ink.inked import COLOUR_STEP, WHITE_STEP, ml
from tests.making import MONDAY, Play, shop_data

HEAD = "piece,white_ml,colour_ml,place,at\n"
RIP: dict[str, Any] = {
    "piece": "Job name",
    "white_ml": "White",
    "colour_ml": ["C", "M", "Y", "K"],
    "unit": "cl",
    "at": "Finished",
    "at_format": "%d.%m.%Y %H:%M",
}


def shop_with(**table: Any) -> Shop:
    return parse_shop(shop_data(ink_import=table))


@pytest.fixture
def play() -> Play:
    play = Play()
    play.job(sizes={"M": 3})
    play.now += timedelta(days=1)
    return play


def take(play: Play, text: str) -> Imported:
    """A log is read and recorded."""
    found = read_import(text, "log.csv", play.floor, play.shop, play.now)
    play.record(found.facts)
    return found


def amounts(found: Imported) -> list[tuple[int, str, Decimal]]:
    events = [fact.event for fact in found.facts]
    return [(each.step, each.ink, each.ml) for each in events if isinstance(each, InkRead)]


def problems(play: Play, text: str) -> Sequence[Problem]:
    rows = len(play.rows)
    with pytest.raises(ProblemsFound) as refused:
        take(play, text)
    assert len(play.rows) == rows
    return refused.value.problems


def told(play: Play, text: str) -> list[tuple[str, str, str]]:
    found = problems(play, text)
    return [(each.where.removeprefix("log.csv: "), each.found, each.allowed) for each in found]


def test_a_line_is_a_reading_of_each_ink(play: Play) -> None:
    piece = next(iter(play.floor.pieces))
    found = take(play, HEAD + f"{piece},2.4,1.1,,2026-11-23T15:00\n")
    assert amounts(found) == [(WHITE_STEP, "white", ml("2.4")), (COLOUR_STEP, "colour", ml("1.1"))]
    assert {fact.occurred_at for fact in found.facts} == {play.shop.hours.moment("2026-11-23T15:00")}
    assert ink_used(play.floor, play.piece(piece), WHITE_STEP)[::2] == (ml("2.4"), True)


def test_the_same_log_twice_counts_once_and_a_log_that_has_grown_adds_what_is_new(play: Play) -> None:
    first, second, _ = play.floor.pieces
    one = HEAD + f"{first},2.4,1.1,,2026-11-23T15:00\n"
    assert (len(take(play, one).facts), take(play, one)) == (2, Imported((), 2))
    grown = take(play, one + f"{second},2.5,,,\n")
    assert (len(grown.facts), grown.known) == (1, 2)


def test_a_line_twice_in_one_log_counts_once(play: Play) -> None:
    line = f"{next(iter(play.floor.pieces))},2.4,,,\n"
    assert len(take(play, HEAD + line + line).facts) == 1


def test_a_log_without_moments_sent_the_next_day_counts_once(play: Play) -> None:
    log = f"piece,white_ml\n{next(iter(play.floor.pieces))},2.4\n"
    assert len(take(play, log).facts) == 1
    play.now += timedelta(days=1)
    assert take(play, log) == Imported((), 1)


def test_the_shop_file_maps_the_columns_of_a_log() -> None:
    play = Play(shop_with(**RIP))
    [piece] = play.job()
    play.now += timedelta(days=1)
    log = f"Job name;White;C;M;Y;K;Finished\r\noars_{piece}_v2.png;0,24;0,05;0,03;;0,01;23.11.2026 15:00\r\n"
    found = take(play, "\ufeff" + log)
    assert amounts(found) == [(WHITE_STEP, "white", ml("2.4")), (COLOUR_STEP, "colour", ml("0.9"))]
    assert found.facts[0].occurred_at == play.shop.hours.moment("2026-11-23T15:00")


@pytest.mark.parametrize(("unit", "expected"), [("ul", "0.0025"), ("ml", "2.5"), ("cl", "25")])
def test_a_log_has_its_unit(unit: str, expected: str) -> None:
    play = Play(shop_with(unit=unit))
    [piece] = play.job()
    assert amounts(take(play, f"piece,white_ml\n{piece},2.5\n")) == [(WHITE_STEP, "white", ml(expected))]


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_a_log_may_have_commas_semicolons_or_tabs(play: Play, delimiter: str) -> None:
    piece = next(iter(play.floor.pieces))
    log = delimiter.join(("white_ml", "piece")) + "\n" + delimiter.join(('"2,5"', piece)) + "\n"
    assert amounts(take(play, log)) == [(WHITE_STEP, "white", ml("2.5"))]


def test_of_a_piece_that_is_printed_twice_the_place_tells_which_print_it_is(play: Play) -> None:
    [piece] = play.job(places=("front", "back"))
    [(step, _, _)] = amounts(take(play, HEAD + f"{piece},2.4,,back,\n"))
    assert play.piece(piece).route[step].label == "underlayer back"
    [(where, found, allowed)] = told(play, HEAD + f"{piece},2.4,,,\n")
    assert (where, found) == ('line 2, column "place"', "nothing")
    assert allowed == "one of its places: front, back"


def test_everything_that_is_wrong_is_told_with_its_line_and_column(play: Play) -> None:
    first, *_ = play.floor.pieces
    lines = [
        "1000000999,2.4,,,",
        f"{first},two,1.1,,",
        f"{first},-2.4,,,",
        f"{first},2400,,,",
        f"{first},,,,",
        f"{first},2.4,,sleeve,",
        f"{first},2.4,,,yesterday",
        f"{first},2.4,,,2026-12-24T12:00",
        f"{first},2.4,,,2020-11-23T12:00",
        f"{first},2.4,,,,more",
    ]
    assert [(where, found) for where, found, _ in told(play, HEAD + "\n".join(lines))] == [
        ('line 2, column "piece"', '"1000000999"'),
        ('line 3, column "white_ml"', '"two"'),
        ('line 4, column "white_ml"', '"-2.4"'),
        ('line 5, column "white_ml"', '"2400"'),
        ('line 6, column "white_ml"', "nothing"),
        ('line 7, column "place"', '"sleeve"'),
        ('line 8, column "at"', '"yesterday"'),
        ('line 9, column "at"', '"2026-12-24T12:00"'),
        ('line 10, column "at"', '"2020-11-23T12:00"'),
        ("line 11", '"more"'),
    ]


def test_a_colour_below_nothing_is_not_made_up_for_by_another() -> None:
    play = Play(shop_with(**RIP))
    [piece] = play.job()
    play.now += timedelta(days=1)
    head = "Job name,White,C,M,Y,K,Finished\n"
    assert told(play, head + f"{piece},0.2,-0.1,0.3,,,23.11.2026 15:00\n")[0][:2] == ('line 2, column "C"', '"-0.1"')
    [(where, found, _)] = told(play, head + f"{piece},0.2,15,15,,,23.11.2026 15:00\n")
    assert (where, found) == ('line 2, column "C + M + Y + K"', '"15 + 15"')


def test_one_bad_line_refuses_the_log(play: Play) -> None:
    first, *_ = play.floor.pieces
    [problem] = problems(play, HEAD + f"{first},2.4,,,\n1000000999,2.4,,,\n")
    assert problem.allowed == "the code of one piece of this floor"
    assert "nothing was recorded" in problem.do


def test_a_name_with_two_pieces_in_it_is_of_neither(play: Play) -> None:
    first, second, _ = play.floor.pieces
    [(where, _, _)] = told(play, HEAD + f"{first} and {second},2.4,,,\n")
    assert where == 'line 2, column "piece"'


@pytest.mark.parametrize("text", ["", "\n", "name,ml\n1,2\n", "piece,place\n1,2\n", "\ufeff;;\n"])
def test_a_log_without_the_columns_is_refused(play: Play, text: str) -> None:
    [(where, _, allowed)] = told(play, text)
    assert (where, "[ink_import]" in allowed) == ("line 1", True)


def test_a_column_that_the_shop_file_names_must_be_there() -> None:
    play = Play(shop_with(at="Finished"))
    [(_, _, allowed)] = told(play, "piece,white_ml\n")
    assert allowed.endswith("not there: Finished")


def test_a_quote_that_is_never_closed_is_told(play: Play) -> None:
    [(where, _, _)] = told(play, HEAD + '1000000161,"2.4,,,\n')
    assert where == "line 2"


def test_a_log_with_its_columns_alone_has_no_readings(play: Play) -> None:
    assert take(play, HEAD) == Imported((), 0)


PLAY = Play(shop_with())
PIECE = PLAY.job()[0]


@given(st.text(), st.lists(st.lists(st.sampled_from([PIECE, "2.4", "-1", "", "x", '"', "front", "\0"]), max_size=6)))
def test_any_text_is_read_or_refused(text: str, lines: list[list[str]]) -> None:
    for whole in (text, HEAD + text, HEAD + "\n".join(map(",".join, lines))):
        with suppress(ProblemsFound):
            found = read_import(whole, "f", PLAY.floor, PLAY.shop, MONDAY + timedelta(days=1))
            assert all(0 <= amount <= 200 for _, _, amount in amounts(found))
