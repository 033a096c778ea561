"""The end of the shop's day: whoever is still signed in is signed out."""

from datetime import UTC, datetime, timedelta

from floor.core.rules.day import sign_outs
from shared.codes import CodeType
from shared.events.reads import SignedOut
from tests.making import MONDAY, Play, card

A = card(CodeType.BADGE, "A")
B = card(CodeType.BADGE, "B")
MIDNIGHT = datetime(2026, 11, 24, 5, tzinfo=UTC)
"""The end of Monday in New York."""


def signed_in() -> Play:
    play = Play()
    play.scan(A, "packing", after_s=0)
    return play


def test_nobody_is_signed_out_while_the_day_lasts() -> None:
    play = signed_in()
    assert sign_outs(play.floor, play.shop, MIDNIGHT - timedelta(seconds=1)) == []


def test_at_the_end_of_the_day_everybody_is_signed_out() -> None:
    play = signed_in()
    play.scan(B, "press 1")
    facts = sign_outs(play.floor, play.shop, MIDNIGHT)
    assert [fact.event for fact in facts] == [SignedOut(at_station="packing"), SignedOut(at_station="press 1")]
    assert [fact.badge for fact in facts] == ["A", "B"]


def test_however_late_it_is_noticed_it_was_at_the_end_of_that_day() -> None:
    play = signed_in()
    [fact] = sign_outs(play.floor, play.shop, MIDNIGHT + timedelta(days=3))
    assert fact.occurred_at == MIDNIGHT


def test_nobody_is_signed_out_twice() -> None:
    play = signed_in()
    play.record(sign_outs(play.floor, play.shop, MIDNIGHT))
    assert sign_outs(play.floor, play.shop, MIDNIGHT + timedelta(days=1)) == []


def test_whoever_signed_out_is_not_signed_out_again() -> None:
    play = signed_in()
    play.happens(SignedOut(at_station="packing"))
    assert sign_outs(play.floor, play.shop, MIDNIGHT) == []


def test_whoever_signed_in_today_stays_although_another_was_here_yesterday() -> None:
    play = signed_in()
    play.now = MONDAY + timedelta(days=1)
    play.scan(B, "packing")
    assert sign_outs(play.floor, play.shop, play.now) == []


def test_a_sign_out_that_is_noticed_late_leaves_late_reads_of_that_day_in_their_hands() -> None:
    play = signed_in()
    [piece] = play.job()
    play.now = MIDNIGHT + timedelta(hours=9)
    play.record(sign_outs(play.floor, play.shop, play.now))
    play.scan(piece, "packing", at=MONDAY + timedelta(hours=1))
    assert play.rows[-1].badge == "A"


def test_a_day_of_25_hours_ends_when_it_ends() -> None:
    play = Play()
    play.now = datetime(2026, 11, 1, 12, tzinfo=UTC)
    play.scan(A, "packing", after_s=0)
    [fact] = sign_outs(play.floor, play.shop, datetime(2026, 11, 3, tzinfo=UTC))
    assert fact.occurred_at == datetime(2026, 11, 2, 5, tzinfo=UTC)
