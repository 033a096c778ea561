"""What a read sees of the floor around it."""

from floor.core.rules.reading import Reading
from shared.scan import Scan
from tests.making import LIGHT_WALK, Play, large_shop, walk


def at(play: Play, station: str) -> Reading:
    scan = Scan(read_id="1", text="", at=play.now, device="gun", station=station)
    return Reading(floor=play.floor, shop=play.shop, scan=scan)


def test_what_is_inside_a_station_is_in_that_one_and_was_begun() -> None:
    play = Play(large_shop())
    one, other, waits = play.job(colour="white", sizes={"M": 3})
    for piece, press in ((one, "press 1"), (other, "press 2")):
        walk(play, piece, (*LIGHT_WALK[:1], (press, 20)))
    walk(play, waits, LIGHT_WALK[:1])
    assert [piece.code for piece, _ in at(play, "press 1").inside()] == [one]
    assert [(piece.code, went_in) for piece, went_in in at(play, "press 2").inside()] == [
        (other, play.piece(other).walk[1].started)
    ]
    assert list(at(play, "printer 1").inside()) == []
