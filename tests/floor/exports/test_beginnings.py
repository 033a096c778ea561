"""A piece is begun by the first of its steps that stands."""

from datetime import timedelta

from floor.exports.beginnings import Beginnings, Change
from floor.exports.scratch import scratch
from tests.floor.exports.day import UNDO_CARD
from tests.making import Play


def changes(play: Play) -> list[Change]:
    with scratch() as database:
        beginnings = Beginnings(database)
        found = [beginnings.follow(row) for row in play.rows]
    return [change for change in found if change.before != change.after]


def test_only_the_first_step_begins_a_piece() -> None:
    play = Play()
    (piece,) = play.job()
    play.scan(piece, "pretreat booth")
    play.scan(piece, "printer 1")
    assert changes(play) == [Change(None, 3)]


def test_a_piece_is_not_begun_when_its_only_step_was_undone_and_begun_anew_by_the_next() -> None:
    play = Play()
    (piece,) = play.job()
    play.scan(piece, "pretreat booth")
    play.scan(UNDO_CARD, "pretreat booth")
    play.scan(piece, "pretreat booth")
    assert changes(play) == [Change(None, 3), Change(3, None), Change(None, 5)]


def test_when_the_first_step_is_undone_the_next_one_that_stands_takes_its_place() -> None:
    play = Play()
    (piece,) = play.job()
    began = play.now
    play.scan(piece, "printer 1", after_s=60)
    play.scan(piece, "pretreat booth", at=began + timedelta(seconds=30))
    play.scan(UNDO_CARD, "printer 1", after_s=5)
    assert changes(play) == [Change(None, 3), Change(3, 5)]
