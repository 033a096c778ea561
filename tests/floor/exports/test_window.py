"""The part of the ledger that is asked for is by when things happened, its end left out."""

from datetime import timedelta

from floor.exports.window import EVERYTHING, Window
from tests.making import MONDAY, Play

MINUTE = timedelta(minutes=1)


def seqs(play: Play, window: Window) -> list[int]:
    return [row.seq for row in window.of(play.rows)]


def test_without_bounds_everything_is_asked_for() -> None:
    play = Play()
    play.job(sizes={"M": 3})
    assert seqs(play, EVERYTHING) == [1, 2, 3, 4]


def test_two_windows_that_meet_hold_every_row_once() -> None:
    play = Play()
    (piece,) = play.job()
    play.scan(piece, "pretreat booth")
    for moment in (MONDAY, MONDAY + MINUTE / 2, MONDAY + MINUTE, MONDAY + 2 * MINUTE):
        assert seqs(play, Window(until=moment)) + seqs(play, Window(since=moment)) == [1, 2, 3]


def test_what_is_told_late_belongs_to_when_it_happened() -> None:
    play = Play()
    (piece,) = play.job()
    play.now += timedelta(hours=3)
    play.scan(piece, "pretreat booth", at=MONDAY + MINUTE)
    assert seqs(play, Window(since=MONDAY + MINUTE, until=MONDAY + 2 * MINUTE)) == [3]
