"""What stayed in a press beyond its time is named in the week in which it came out."""

from datetime import timedelta

from floor.core.figures.data import WeekReport
from floor.core.figures.week import week_report
from floor.reports.sheets import sheets
from tests.making import DARK_WALK, LIGHT_WALK, Play, walk


def week_of(play: Play, week: str = "2026-W48") -> WeekReport:
    return week_report(play.floor, play.shop, week, play.now)


def held(play: Play, piece: str, held_s: float) -> None:
    """A light garment, printed, and out of the press after so long."""
    walk(play, piece, (*LIGHT_WALK[:2], ("press 1", held_s)))


def test_the_week_names_every_piece_that_a_press_held_for_too_long_the_longest_first() -> None:
    play = Play()
    good, over, longer = play.job(colour="white", sizes={"M": 3})
    for piece, held_s in ((good, 60), (over, 121), (longer, 4_080)):
        held(play, piece, held_s)
    stays = week_of(play).over_time
    assert [(stay.piece, stay.held_s, stay.least_s) for stay in stays] == [(longer, 4_080, 60), (over, 121, 60)]
    assert {(stay.job, stay.step, stay.press) for stay in stays} == {("J0001", "cure", "press 1")}


def test_a_stay_of_exactly_as_long_as_the_shop_allows_is_not_too_long() -> None:
    play = Play()
    [piece] = play.job(colour="white")
    held(play, piece, 60 + 60)
    assert week_of(play).over_time == []


def test_a_step_that_is_no_dwell_never_is() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece, [(station, 40_000) for station, _ in DARK_WALK[:3]])
    assert week_of(play).over_time == []


def test_a_stay_belongs_to_the_week_in_which_the_press_was_opened() -> None:
    play = Play()
    [piece] = play.job(colour="white")
    held(play, piece, timedelta(days=7).total_seconds())
    assert week_of(play).over_time == []
    [stay] = week_of(play, "2026-W49").over_time
    assert stay.opened == play.now


def test_the_rows_for_a_bookkeeper_name_them_too() -> None:
    play = Play()
    [piece] = play.job(colour="white")
    held(play, piece, 4_080)
    [sheet] = (sheet for sheet in sheets(week_of(play)) if sheet.name == "over_time")
    assert sheet.rows == [(piece, "J0001", "cure", "press 1", play.now, 4_080, 60)]
