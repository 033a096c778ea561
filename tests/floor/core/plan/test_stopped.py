"""Which steps nobody can do just now, and which pieces that keeps where they are."""

import msgspec

from floor.core.plan.stopped import kept_by, stopped
from shared.codes import CodeType
from shared.files.cards import STATION_DOWN
from tests.making import Play, card, large_shop, walk

DOWN = card(CodeType.COMMAND, STATION_DOWN)


def test_a_step_is_stopped_when_the_last_of_its_stations_is_down() -> None:
    play = Play(large_shop())
    play.scan(DOWN, "press 1")
    assert stopped(play.floor, play.shop) == set()
    play.scan(DOWN, "press 2")
    assert stopped(play.floor, play.shop) == {"cure"}


def test_a_piece_is_kept_by_its_own_step_and_by_the_press_that_must_soon_follow_it() -> None:
    play = Play()
    [piece] = play.job()
    assert kept_by(play.piece(piece), {"cure"}) is None
    assert kept_by(play.piece(piece), {"pretreat", "cure"}) == "pretreat"
    walk(play, piece, [("pretreat booth", 90), ("printer 1", 150), ("inspection", 15)])
    assert kept_by(play.piece(piece), {"cure"}) == "cure"
    assert kept_by(play.piece(piece), {"pack"}) is None


def test_a_press_that_may_follow_at_any_time_keeps_nobody_from_the_step_before_it() -> None:
    play = Play()
    [code] = play.job()
    walk(play, code, [("pretreat booth", 90), ("printer 1", 150), ("inspection", 15)])
    piece = play.piece(code)
    piece.route = tuple(msgspec.structs.replace(step, wait_limit_s=None) for step in piece.route)
    assert kept_by(piece, {"cure"}) is None
