"""The word that is said when a job is held or given up comes back wherever the job is shown."""

import pytest

from floor.core.plan.board import board
from floor.core.trace.history import job_answer
from shared.files.shop import parse_shop
from shared.plain import plain
from tests.making import Play, shop_data

WHY = "the blanks are wet"


@pytest.fixture
def play() -> Play:
    play = Play()
    play.job(sizes={"M": 2})
    return play


def test_the_operator_is_told_why_a_job_is_held(play: Play) -> None:
    [piece, _] = play.floor.pieces
    play.hold(why=WHY)
    assert play.scan(piece, "pretreat booth").say == f"Job J0001 is on hold: {WHY}. Put the piece aside."


def test_without_a_word_nothing_is_made_up(play: Play) -> None:
    [piece, _] = play.floor.pieces
    play.hold()
    assert play.scan(piece, "pretreat booth").say == "Job J0001 is on hold. Put the piece aside."
    assert plain(job_answer(play.floor.jobs["J0001"]))["why"] is None


def test_the_operator_is_told_why_a_job_was_given_up(play: Play) -> None:
    [piece, _] = play.floor.pieces
    play.cancel(why=WHY)
    assert play.scan(piece, "pretreat booth").say == f"This piece was given up with job J0001: {WHY}."


def test_a_german_shop_says_it_in_german() -> None:
    play = Play(parse_shop(shop_data(shop={**shop_data()["shop"], "language": "de"})))
    [piece] = play.job()
    play.hold(why=WHY)
    assert play.scan(piece, "pretreat booth").say == f"Auftrag J0001 ruht: {WHY}. Das Stück beiseitelegen."


def test_the_board_says_it(play: Play) -> None:
    play.hold(why=WHY)
    now = board(play.floor, play.shop, play.now)
    assert [line.why for line in now.jobs] == [WHY]


def test_a_job_tells_the_word_that_holds_now(play: Play) -> None:
    play.hold(why=WHY)
    assert plain(job_answer(play.floor.jobs["J0001"]))["why"] == WHY
    play.release()
    assert plain(job_answer(play.floor.jobs["J0001"]))["why"] is None
    play.hold(why=WHY)
    play.cancel(why="the customer went elsewhere")
    assert plain(job_answer(play.floor.jobs["J0001"]))["why"] == "the customer went elsewhere"
