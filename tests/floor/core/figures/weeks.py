"""A week as the tests of it tell it: its report, and a piece that is spoiled in it."""

from floor.core.figures.data import WeekReport
from floor.core.figures.week import week_report
from shared.codes import CodeType
from tests.making import Play, card

WEEK = "2026-W48"
STAIN = card(CodeType.REASON, "stain")
SCORCH = card(CodeType.REASON, "scorch")


def report(play: Play, week: str = WEEK) -> WeekReport:
    return week_report(play.floor, play.shop, week, play.now)


def spoil(play: Play, code: str, station: str = "inspection", reason: str = STAIN) -> str:
    """Spoil a piece; its remake."""
    play.scan(reason, station, after_s=60)
    return play.scan(code, station, after_s=5).remake or ""
