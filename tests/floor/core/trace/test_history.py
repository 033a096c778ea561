"""One piece, or one job, as an answer."""

import json
from datetime import timedelta
from typing import Any

import pytest
from hypothesis import given

from floor.core.trace.history import job_answer, piece_answer
from shared.codes import CodeType
from shared.files.shop import parse_shop
from shared.money import ELEMENTS
from shared.plain import plain
from tests.floor.plays import Act, days, played
from tests.making import DARK_WALK, MONDAY, Play, card, large_shop, shop_data, walk

STAIN = card(CodeType.REASON, "stain")


@pytest.fixture
def play() -> Play:
    return Play()


def of(play: Play, code: str) -> dict[str, Any]:
    return plain(piece_answer(play.floor, play.shop, play.piece(code)))


# A piece


def test_a_piece_has_the_keys_that_scripts_rest_on(play: Play) -> None:
    [piece] = play.job()
    assert {
        *("piece", "job", "line", "item", "colour", "size", "state", "remake_of", "walk"),
        *("cycle_time_s", "quoted", "actual"),
    } <= of(play, piece).keys()


def test_a_step_of_the_walk_has_the_keys_that_scripts_rest_on(play: Play) -> None:
    [piece] = play.job()
    keys = ("step", "place", "started", "done", "station", "badge", "derived", "assumed", "queuing_s", "processing_s")
    assert all(set(keys) <= step.keys() for step in of(play, piece)["walk"])


def test_costs_have_every_element_in_its_order_and_their_total(play: Play) -> None:
    [piece] = play.job()
    for kind in ("quoted", "actual"):
        assert list(of(play, piece)[kind]) == [*ELEMENTS, "total"]


def test_an_open_piece_says_what_is_next(play: Play) -> None:
    [piece] = play.job()
    assert (of(play, piece)["state"], of(play, piece)["next"]) == ("open", "pretreat")


def test_a_finished_piece_has_a_cycle_time(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    assert of(play, piece)["cycle_time_s"] == {"elapsed": 615, "working": 615}
    assert (of(play, piece)["state"], of(play, piece)["next"]) == ("finished", None)


def test_a_night_counts_as_elapsed_and_not_as_working(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:6])
    play.scan(piece, "packing", at=MONDAY + timedelta(days=1))  # nine in the morning; the shop opens at eight
    cycle = of(play, piece)["cycle_time_s"]
    assert cycle["elapsed"] == 24 * 3600
    assert cycle["working"] == (3 + 4.5 + 1) * 3600  # nine to twelve, half past twelve to five, eight to nine


def test_an_open_piece_has_no_cycle_time(play: Play) -> None:
    [piece] = play.job()
    assert of(play, piece)["cycle_time_s"] == {"elapsed": None, "working": None}


def test_a_spoiled_piece_names_its_reason_and_its_remake_and_the_remake_names_it(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    remake = play.spoil(piece, "pretreat booth").remake or ""
    assert (of(play, piece)["spoiled_for"], of(play, piece)["remake"]) == ("stain", remake)
    assert of(play, remake)["remake_of"] == piece


def test_a_step_in_two_places_is_told_apart(play: Play) -> None:
    [piece] = play.job(colour="white", places=("front", "back"))
    steps = [(step["step"], step["place"]) for step in of(play, piece)["walk"]]
    assert steps == [("colour", "front"), ("cure", "front"), ("colour", "back"), ("cure", "back"), ("pack", None)]


def test_what_contradicts_is_listed_with_its_row() -> None:
    play = Play(large_shop())
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:2])
    play.scan(piece, "printer 2", at=play.now - timedelta(seconds=60))
    [odd] = of(play, piece)["contradictions"]
    assert (odd["seq"], odd["station"]) == (len(play.rows), "printer 2")
    assert odd["say"].startswith("Underlayer printed is recorded at printer 1 too.")


def test_an_item_that_left_the_shop_file_still_costs_what_was_quoted(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    data = shop_data()
    del data["items"]["heavy tee"]
    play.shop = parse_shop(data)
    assert of(play, piece)["actual"]["garment"] == "2.00"


@given(days)
def test_every_piece_can_be_answered_for_as_json(acts: list[Act]) -> None:
    play = played(acts)
    for code in play.floor.pieces:
        assert json.loads(json.dumps(of(play, code)))["piece"] == code


# A job


def test_a_job_counts_its_pieces(play: Play) -> None:
    one, other, _ = play.job(sizes={"M": 3})
    walk(play, one)
    play.scan(other, "pretreat booth")
    play.spoil(other, "pretreat booth")
    answer = plain(job_answer(play.floor.jobs["J0001"]))
    assert [answer[key] for key in ("pieces", "finished", "spoiled", "open")] == [3, 1, 1, 2]


def test_the_whole_job_lists_its_lines_and_its_pieces(play: Play) -> None:
    pieces = play.job(sizes={"S": 1, "M": 2})
    answer = plain(job_answer(play.floor.jobs["J0001"], whole=True))
    assert answer["lines"][0]["sizes"] == {"S": 1, "M": 2}
    assert [piece["piece"] for piece in answer["walks"]] == pieces
    assert answer["due"] == "2026-11-27T14:00:00Z"


def test_a_piece_of_the_list_says_what_is_next_as_long_as_it_is_open(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth")
    play.scan(other, "pretreat booth")
    play.spoil(other, "pretreat booth")
    nexts = [piece["next"] for piece in plain(job_answer(play.floor.jobs["J0001"], whole=True))["walks"]]
    assert nexts == ["underlayer", None, "pretreat"]
    assert of(play, other)["next"] is None


def test_a_job_is_open_held_finished_or_cancelled(play: Play) -> None:
    [piece] = play.job()
    job = play.floor.jobs["J0001"]
    states = [plain(job_answer(job))["state"]]
    play.hold()
    states.append(plain(job_answer(job))["state"])
    play.release()
    walk(play, piece)
    states.append(plain(job_answer(job))["state"])
    play.job()
    play.cancel("J0002")
    states.append(plain(job_answer(play.floor.jobs["J0002"]))["state"])
    assert states == ["open", "held", "finished", "cancelled"]
