"""Who is where, by the reads of the shift."""

from datetime import timedelta

from floor.core.plan.presence import present
from shared.codes import CodeType
from shared.files.cards import SIGN_OUT
from tests.making import MONDAY, Play, card


def where(play: Play) -> list[tuple[str, str]]:
    return [(each.badge, each.station) for each in present(play.floor, play.shop, play.now)]


def sign_in(play: Play, badge: str, station: str) -> None:
    play.scan(card(CodeType.BADGE, badge), station)


def test_before_anybody_reads_anything_nobody_is_there() -> None:
    assert where(Play()) == []


def test_whoever_signs_in_is_at_that_station() -> None:
    play = Play()
    sign_in(play, "B", "packing")
    sign_in(play, "A", "inspection")
    assert where(play) == [("A", "inspection"), ("B", "packing")]


def test_a_badge_is_at_one_station_at_a_time() -> None:
    play = Play()
    sign_in(play, "A", "packing")
    sign_in(play, "A", "inspection")
    assert where(play) == [("A", "inspection")]


def test_a_badge_that_never_signed_in_is_where_it_read_something_even_what_was_refused() -> None:
    play = Play()
    [piece] = play.job()
    play.scan(piece, "packing", badge="B")
    assert where(play) == [("B", "packing")]


def test_a_sign_out_anywhere_ends_it() -> None:
    play = Play()
    sign_in(play, "A", "packing")
    play.scan(card(CodeType.COMMAND, SIGN_OUT), "packing")
    assert where(play) == []


def test_on_the_next_day_nobody_is_there_until_a_read_says_so() -> None:
    play = Play()
    sign_in(play, "A", "packing")
    play.now = MONDAY + timedelta(days=1)
    assert where(play) == []


def test_since_tells_the_first_read_of_those_at_one_station() -> None:
    play = Play()
    sign_in(play, "A", "packing")
    sign_in(play, "A", "inspection")
    came = play.now
    for code in play.job(sizes={"M": 2}):
        play.scan(code, "inspection", badge="A")
    [ash] = present(play.floor, play.shop, play.now)
    assert (ash.since, ash.read) == (came, play.now)


def test_a_read_that_arrives_late_does_not_call_anybody_back() -> None:
    play = Play()
    [piece] = play.job()
    play.now += timedelta(hours=1)
    sign_in(play, "A", "packing")
    play.scan(piece, "pretreat booth", badge="A", at=MONDAY + timedelta(minutes=5))
    assert where(play) == [("A", "packing")]
