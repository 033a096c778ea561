"""Pieces at the press, and what the timekeeper would record of them.

Never asserts anything.
"""

from datetime import timedelta

from floor.core.plan.alarms import changes
from tests.making import LIGHT_WALK, Play, walk


def look(play: Play, after_s: float = 0) -> list[str]:
    """What the timekeeper would record after some time; the alarms that stand then."""
    play.now += timedelta(seconds=after_s)
    play.record(changes(play.floor, play.shop, play.now))
    return [kind for kind, _ in play.floor.alarms]


def printed(play: Play) -> str:
    """A light garment, just printed."""
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK[:1])
    return piece


def pressed(play: Play) -> str:
    """A light garment in a press that has just been closed for 60 s."""
    piece = printed(play)
    play.scan(piece, "press 1", after_s=20)
    return piece
