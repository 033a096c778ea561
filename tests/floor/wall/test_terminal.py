"""The wall in a terminal."""

import re
import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from rich.cells import cell_len

from floor.core.plan.board import AlarmLine, Board
from floor.core.plan.presses import InPress
from floor.wall.alarms import Showing, notices
from floor.wall.digits import large
from floor.wall.signs import ALARMS, alarm_sign
from floor.wall.terminal import LIVE, draw
from tests.floor.wall import boards
from tests.floor.wall.boards import (
    BOARDS,
    BUSY,
    EMPTY,
    NASTY,
    SIZES,
    alarm,
    job,
    lines_of,
    pressed,
    shown_code,
    wet,
    written,
)
from tests.making import shop

SHOWINGS = st.builds(Showing, past=st.booleans(), stale_s=st.none() | st.floats(0, 1_000_000), running=st.booleans())
STYLES = re.compile("\x1b\\[[0-9;]*m")


def seen(board: Board, width: int = 80, height: int = 24, showing: Showing = LIVE) -> list[str]:
    return lines_of(draw(board, shop(), width, height, showing), width, height)


def text_of(board: Board, width: int = 80, height: int = 24, showing: Showing = LIVE) -> str:
    return "\n".join(seen(board, width, height, showing))


def line_with(word: str, lines: list[str]) -> str:
    return next(line for line in lines if word in line)


# Its shape


@settings(max_examples=60)
@given(board=BOARDS, showing=SHOWINGS, width=st.integers(1, 220), height=st.integers(1, 70))
def test_whatever_the_board_holds_the_wall_fills_its_window_and_no_more(
    board: Board, showing: Showing, width: int, height: int
) -> None:
    lines = seen(board, width, height, showing)
    assert len(lines) == height
    assert {cell_len(line) for line in lines} == {width}


@settings(max_examples=40)
@given(board=BOARDS, size=st.sampled_from(SIZES))
def test_nothing_from_outside_drives_the_terminal(board: Board, size: tuple[int, int]) -> None:
    sent = STYLES.sub("", written(draw(board, shop(), *size), size[0]))
    assert not {unicodedata.category(char) for char in sent if char != "\n"} & {"Cc", "Cf", "Cs", "Co"}


@pytest.mark.parametrize("name", NASTY)
def test_a_nasty_name_moves_nothing_else(name: str) -> None:
    plain = seen(replace(BUSY, jobs=[job(1, "Fern street choir")]))
    nasty = seen(replace(BUSY, jobs=[job(1, name)]))
    at = boards.columns_of(line_with("customer", plain), ["customer"])[0]
    assert [line[:at] for line in plain] == [line[:at] for line in nasty]


def test_square_brackets_in_a_name_are_shown_as_they_are() -> None:
    assert "[bold]x[/bold] & sons" in text_of(replace(EMPTY, jobs=[job(1, "[bold]x[/bold] & sons")]), 100, 30)


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_the_parts_stand_where_they_stood_when_the_floor_fills(width: int, height: int) -> None:
    """Nothing jumps about: only numbers and rows change."""
    quiet, busy = seen(EMPTY, width, height), seen(replace(BUSY, alarms=BUSY.alarms[:2]), width, height)
    for word in ("presses 2", "steps", "jobs"):
        assert quiet.index(line_with(word, quiet)) == busy.index(line_with(word, busy))
    assert boards.columns_of(line_with("wet 0", quiet), ["wet"]) == boards.columns_of(line_with("wet 7", busy), ["wet"])


def test_a_press_keeps_its_place_when_another_is_emptied() -> None:
    one = line_with("press 2", seen(BUSY))
    other = line_with("press 2", seen(replace(BUSY, presses=[InPress(station="press 1"), BUSY.presses[1]])))
    assert one.index("press 2") == other.index("press 2")


# What it says


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_it_shows_the_shop_its_day_and_the_moment(width: int, height: int) -> None:
    first = seen(BUSY, width, height)[0]
    assert first.startswith(shop().name[:14])
    assert "today 37 done, 2 spoiled" in first
    assert first.endswith("Wed 25 Nov 14:05")


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_every_step_is_shown_with_what_waits_what_is_in_work_and_the_longest_wait(width: int, height: int) -> None:
    lines = seen(BUSY, width, height)
    for name in boards.STEPS:
        assert name[:5] in line_with("steps", lines)
    assert line_with("in work", lines).split()[2:] == ["1"] * 6
    assert line_with("longest", lines).count("14 min") == 5


def test_what_waits_is_shown_in_figures() -> None:
    assert line_with("waiting", seen(BUSY)).split()[1:] == ["12", "3", "0", "4", "7", "9"]


def test_a_closed_press_counts_down_and_one_over_its_time_counts_up() -> None:
    lines = seen(BUSY, 60, 15)
    assert "● CLOSED       2:05" in line_with("press 1", lines)
    assert "▲ OVER TIME   +1:12" in line_with("press 2 ", lines[5:])


def test_a_press_that_is_done_asks_to_be_opened() -> None:
    line = line_with("press 1", seen(replace(EMPTY, presses=[pressed("press 1", 1, -5)]), 60, 15))
    assert "◆ OPEN NOW" in line
    assert "+0:05" in line


def test_a_press_that_was_opened_too_early_is_not_shown_as_closed() -> None:
    board = replace(EMPTY, presses=[pressed("press 1", 1, 100)], alarms=[alarm("opened too early", 1)])
    line = seen(board, 60, 15)[line_number("presses", board) + 1]
    assert "▲ TOO EARLY" in line
    assert "CLOSED" not in line


def line_number(word: str, board: Board) -> int:
    lines = seen(board, 60, 15)
    return lines.index(line_with(word, lines))


def test_several_pieces_in_a_press_are_counted_behind_the_one_that_is_due_first() -> None:
    board = replace(EMPTY, presses=[pressed("press 1", 1, 10), pressed("press 1", 2, 100), pressed("press 1", 3, 200)])
    assert f"{shown_code(1)} +2" in text_of(board)
    assert "presses 1" in text_of(board)


@pytest.mark.parametrize(("width", "height"), SIZES[1:])
def test_where_there_is_room_the_countdown_is_drawn_large(width: int, height: int) -> None:
    scale = 3 if width == 200 else 2 if width == 100 else 1
    text = text_of(replace(BUSY, jobs=[]), width, height)
    assert all(row.rstrip() in text for row in large("2:05", scale))
    assert "2:05" not in text


def test_a_countdown_too_long_to_be_drawn_large_is_still_shown() -> None:
    board = replace(EMPTY, presses=[pressed("press 1", 1, -60 * 1_234.5), pressed("press 2", 2, 60)])
    assert "+1234:30" in text_of(board)


def test_a_wet_piece_is_shown_with_its_wait_its_limit_and_when_it_goes_in() -> None:
    line = line_with(shown_code(21), seen(BUSY, 100, 24))
    assert "17 of 20 min" in line
    assert "in 14:06" in line


@pytest.mark.parametrize("count", [0, 1, 3, 7, 60])
@pytest.mark.parametrize(("width", "height"), SIZES)
def test_every_wet_piece_is_shown_or_counted(width: int, height: int, count: int) -> None:
    text = text_of(replace(EMPTY, wet=[wet(n, 1) for n in range(count)]), width, height)
    shown = sum(shown_code(n) in text for n in range(count))
    left_out = re.search(r"\+(\d+) more wet", text)
    assert shown + int(left_out[1] if left_out else 0) == count
    assert f"wet {count}" in text


def test_a_job_is_shown_with_its_progress_its_due_time_and_its_expected_finish() -> None:
    line = line_with("J0002", seen(BUSY, 100, 30))
    assert re.search(r"● ON TIME J0002 ▆+▁+ 12/24 +16:05 +15:35 +Harbour rowing club", line)


def test_a_held_job_says_so_and_promises_no_finish() -> None:
    line = line_with("J0001", seen(replace(EMPTY, jobs=[replace(job(1), held=True, expected_finish=None)])))
    assert "○ HELD" in line
    assert line.split()[-4] == "held"


def test_a_due_time_on_another_day_says_which() -> None:
    text = text_of(replace(EMPTY, jobs=[job(1, due_min=24 * 60), job(2, due_min=30 * 24 * 60)]))
    assert "Thu 14:05" in text
    assert "25 Dec 14:05" in text


# The urgent


@settings(max_examples=60)
@given(board=BOARDS, size=st.sampled_from(SIZES))
def test_no_kind_of_alarm_is_ever_left_out(board: Board, size: tuple[int, int]) -> None:
    known = replace(board, alarms=[line for line in board.alarms if line.kind in ALARMS])
    rows = seen(known, *size)
    for line in known.alarms:
        assert any(row.startswith(f" {alarm_sign(line)} ") for row in rows)


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_alarms_stand_above_all_else_the_most_pressing_first(width: int, height: int) -> None:
    lines = seen(BUSY, width, height)
    assert [line[:15].strip() for line in lines[1:4]] == ["▲ OVER TIME", "▲ WET TOO LONG", "▲ JOB LATE"]


def test_more_alarms_than_rows_are_told_together_with_their_count_and_the_longest_standing() -> None:
    alarms = [replace(alarm("wet too long", n), since=boards.ahead(-n)) for n in range(1, 31)]
    line = seen(replace(EMPTY, alarms=alarms), 80, 24)[1]
    assert line.startswith(" ▲ WET TOO LONG ×30   30 min 1000 ")
    assert re.search(rf"{shown_code(1)}, {shown_code(2)}, {shown_code(3)} \+27", line)


def test_an_alarm_is_told_whole_or_in_few_words_but_never_cut_off() -> None:
    said = f"press 2 is over its time: take {boards.code(13)} out."
    board = replace(EMPTY, alarms=[alarm("press over time", 13, said, "press 2")])
    assert f"press 2 is over its time: take {shown_code(13)} out." in text_of(board, 80, 24)
    assert f"press 2 · {shown_code(13)}" in text_of(board, 60, 15)
    assert "…" not in seen(board, 60, 15)[1]


def test_a_kind_of_alarm_that_the_wall_does_not_know_is_shown_as_urgent_and_first() -> None:
    gone = AlarmLine(
        kind="scanner gone", subject="gun 2", piece=None, station=None, since=boards.NOW, say="Plug it in."
    )
    line = seen(replace(BUSY, alarms=[*BUSY.alarms, gone]))[1]
    assert line.startswith(" ▲ SCANNER GONE")
    assert "now Plug it in." in line


def test_facts_that_contradict_each_other_ask_for_a_person() -> None:
    text = text_of(replace(EMPTY, contradictions=[boards.code(5)]))
    assert "◆ UNCLEAR" in text
    assert shown_code(5) in text


def test_when_there_is_no_alarm_it_says_so() -> None:
    assert seen(EMPTY)[1].strip() == "● NO ALARM"


def test_where_presses_are_told_one_to_a_row_none_is_left_out_for_want_of_rows() -> None:
    lines = seen(replace(EMPTY, presses=[pressed(f"press {n}", n, 60 * n) for n in range(1, 6)]), 80, 24)
    for n in range(1, 6):
        assert f"{n}:00" in line_with(f"press {n} ", lines)


def test_presses_that_do_not_fit_are_counted_and_the_one_to_be_opened_first_is_shown() -> None:
    presses = [pressed(f"press {n}", n, 100 - n) for n in range(1, 10)]
    lines = seen(replace(EMPTY, presses=presses), 60, 17)
    at = lines.index(line_with("presses 9", lines))
    assert [line[:8].strip() for line in lines[at + 1 : at + 6]] == [
        "press 9",
        "press 8",
        "press 7",
        "press 6",
        "+5 more",
    ]


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_a_late_job_is_shown_before_the_many_that_are_on_time(width: int, height: int) -> None:
    jobs = [*(job(n, due_min=n) for n in range(1, 60)), job(99, due_min=9_000, late=True)]
    lines = seen(replace(EMPTY, jobs=jobs), width, height)
    assert "▲ LATE    J0099" in "\n".join(lines)
    assert re.match(r"\+\d+ more jobs", lines[-1])


def test_even_a_small_window_full_of_alarms_shows_the_most_pressing_job() -> None:
    alarms = [*BUSY.alarms, alarm("care due", 2), alarm("press open now", 3)]
    lines = seen(replace(BUSY, alarms=alarms), 60, 16)
    assert lines[-2].startswith("▲ LATE    J0001")
    assert lines[-1].startswith("+7 more jobs")


def test_jobs_that_are_late_or_stuck_and_do_not_fit_are_counted_as_such() -> None:
    stuck = [replace(job(n), expected_finish=None) for n in range(31, 61)]
    text = text_of(replace(EMPTY, jobs=[*(job(n, late=True) for n in range(1, 31)), *stuck]))
    assert re.search(r"\+(\d+) more jobs, \1 late or stuck", text)


def test_a_stuck_job_is_shown_before_the_many_that_are_on_time() -> None:
    jobs = [*(job(n) for n in range(1, 60)), replace(job(99), expected_finish=None)]
    assert "▲ STUCK" in line_with("J0099", seen(replace(EMPTY, jobs=jobs)))


def test_late_jobs_that_do_not_fit_are_counted_as_late() -> None:
    lines = seen(replace(EMPTY, jobs=[job(n, due_min=n, late=True) for n in range(1, 31)]), 80, 24)
    assert re.match(r"\+(\d+) more jobs, \1 late", lines[-1])


def test_a_piece_wet_for_too_long_is_shown_before_those_that_are_not() -> None:
    pieces = [*(wet(n, 1) for n in range(1, 40)), wet(99, 21)]
    text = text_of(replace(EMPTY, wet=pieces), 100, 24)
    assert f"▲ TOO LONG  {shown_code(99)}" in text


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_what_is_wrong_with_the_wall_itself_comes_before_every_alarm(width: int, height: int) -> None:
    lines = seen(BUSY, width, height, Showing(stale_s=200, running=False))
    assert lines[1].startswith(" ▲ NOT RUNNING")
    assert lines[2].startswith(" ▲ OLD")
    assert "3 min 20 s old" in lines[2]
    assert "▲ OVER TIME" in lines[3]


def test_a_past_moment_says_that_it_is_past_and_which() -> None:
    lines = seen(BUSY, showing=Showing(past=True))
    assert "◆ PAST" in lines[1]
    assert "The floor as it was on Wed 25 Nov 2026 14:05." in lines[1]


# Colour


def test_without_colour_nothing_but_colour_is_missing() -> None:
    plain = written(draw(BUSY, shop(), 80, 24), 80, no_color=True)
    assert not re.search(r"\x1b\[(\d+;)*([349]|10)\d[;m]", plain)
    assert STYLES.sub("", plain) == STYLES.sub("", written(draw(BUSY, shop(), 80, 24), 80))
    assert "\x1b[1;7m ▲ OVER TIME" in plain


def test_the_ground_is_dark_to_the_last_column_whatever_the_terminal_has() -> None:
    bare = [part for part in re.split(r"\x1b\[0m|\n", written(draw(EMPTY, shop(), 80, 24), 80)) if part]
    assert all(re.match(r"\x1b\[(\d+;)*(48;2;0;0;0|48;5;16|40)m", part) for part in bare)


# What an alarm is about


def down(press: str, serial: int | None = None) -> tuple[InPress, AlarmLine]:
    """A press that is down, with or without a piece in it, and its alarm."""
    pressed = InPress(station=press, piece=None if serial is None else boards.code(serial), down_since=boards.NOW)
    raised = replace(alarm("station down", 1, station=press), subject=press, piece=None)
    return pressed, raised


def test_alarms_of_one_kind_say_once_what_each_is_about_with_the_piece_in_it() -> None:
    presses, alarms = zip(down("press 1"), down("press 2", 7), strict=True)
    both = notices(replace(EMPTY, presses=list(presses), alarms=list(alarms)), shop(), LIVE)
    assert [notice.few for notice in both] == ["press 1", f"press 2 · {shown_code(7)}"]


def test_at_two_hundred_columns_the_most_overdue_of_eight_presses_has_large_figures() -> None:
    presses = [pressed(f"press {n}", n, -1_140 if n == 5 else 60 * n) for n in range(1, 9)]
    lines = seen(replace(EMPTY, presses=presses), 200, 60)
    at = lines.index(line_with("presses 8", lines))
    assert lines[at + 1].startswith("press 5")
    assert lines[at + 2].startswith(large("19:00", 1)[0])


def test_how_many_there_are_is_not_taken_for_a_part_of_the_time() -> None:
    alarms = [replace(alarm("wet too long", n), since=boards.ahead(-20)) for n in range(1, 8)]
    line = seen(replace(EMPTY, alarms=alarms), 80, 15)[1]
    assert line.startswith(" ▲ WET TOO LONG ×7")
    assert not re.search(r"min \d+:", line)


def test_in_forty_columns_a_press_keeps_its_name() -> None:
    lines = seen(replace(EMPTY, presses=[pressed("press 1", 1, -1_140), pressed("press 2", 2, 60)]), 40, 12)
    assert line_with("▲", lines).startswith("press 1   ▲")
