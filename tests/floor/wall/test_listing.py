"""The board as a plain list."""

import re
import unicodedata

from hypothesis import given, settings
from msgspec.structs import replace

from floor.core.plan.board import Board
from floor.wall.listing import board_text, press_text
from tests.floor.wall.boards import BOARDS, BUSY, EMPTY, code, job, lines_of, wet, written
from tests.making import shop

WIDE = 2_000
"""Columns in which no sentence is broken."""


def line_with(word: str, lines: list[str]) -> str:
    return next(line for line in lines if word in line)


def test_it_begins_with_the_shop_the_moment_and_the_day() -> None:
    first = lines_of(board_text(BUSY, shop()), 80)[0]
    assert first == f"{shop().name}, Wed 25 Nov 2026 14:05, today 37 finished, 2 spoiled"


def test_alarms_are_told_in_full_the_most_pressing_first() -> None:
    lines = lines_of(board_text(BUSY, shop(), 120), 120)
    at = lines.index("Alarms: 3")
    assert lines[at + 1] == f"▲ OVER TIME, since 14:01: press 2 is over its time: take {code(13)} out."
    assert lines[at + 3].startswith("▲ JOB LATE")


@settings(max_examples=40)
@given(BOARDS)
def test_nothing_is_left_out(board: Board) -> None:
    text = "\n".join(lines_of(board_text(board, shop()), WIDE))
    for piece in [*(each.piece for each in board.wet), *(each.piece for each in board.presses if each.piece)]:
        assert piece in text
    for job_line in board.jobs:
        assert f"\n{job_line.job} " in text
    assert len(re.findall("^[▲◆].*, since", text, re.MULTILINE)) == len(board.alarms)


@settings(max_examples=40)
@given(BOARDS)
def test_nothing_from_outside_drives_the_terminal(board: Board) -> None:
    sent = re.sub("\x1b\\[[0-9;]*m", "", written(board_text(board, shop()), 80))
    assert not {unicodedata.category(char) for char in sent if char != "\n"} & {"Cc", "Cf", "Cs", "Co"}


def test_the_press_queue_alone() -> None:
    lines = lines_of(press_text(BUSY, shop()), 80)
    assert lines[0] == "Presses: 2"
    assert line_with("press 2", lines).split() == [
        "press",
        "2",
        "▲",
        "OVER",
        "TIME",
        "+1:12",
        code(13),
        "14:00",
        "14:03",
    ]
    assert line_with(code(20), lines).split()[1:4] == ["▲", "TOO", "LONG"]
    assert not any("J0001" in line for line in lines)


def test_an_empty_floor_says_how_little_there_is() -> None:
    lines = lines_of(board_text(EMPTY, shop()), 80)
    assert {"Alarms: 0", "Wet: 0", "Jobs: 0"} <= set(lines)


def test_a_name_in_square_brackets_is_shown_as_it_is() -> None:
    text = "\n".join(lines_of(board_text(replace(EMPTY, jobs=[job(1, "[b]")], wet=[wet(1, 1)]), shop()), 80))
    assert "J0001 [b]" in text
