"""The ledger as CSV: a line for each row, and nothing in it that a spreadsheet would calculate."""

import csv
import io
import unicodedata
from datetime import timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from floor.exports.flat import COLUMNS, csv_lines
from floor.exports.moments import rfc3339
from floor.exports.window import EVERYTHING, Window
from shared.events.floor import AlarmRaised
from shared.events.reads import CareDone
from shared.events.recorded import kind_of
from shared.spreadsheet import BEGINS_A_FORMULA
from tests.floor.exports.day import NEW_YORK, Day
from tests.floor.plays import Act, days, played
from tests.making import MONDAY, Play

DRIVES = {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"}
"""Categories of characters that could drive a terminal, or turn a line around."""


def text_of(play: Play, window: Window = EVERYTHING, zone: ZoneInfo = NEW_YORK) -> str:
    return b"".join(csv_lines(play.rows, zone, window)).decode()


def lines_of(play: Play, window: Window = EVERYTHING) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text_of(play, window), newline="")))


def test_every_row_of_the_ledger_has_a_line_with_its_kind_and_moments() -> None:
    play = Day().play
    told = [(line["seq"], line["kind"], line["occurred_at"], line["recorded_at"]) for line in lines_of(play)]
    assert told == [
        (str(row.seq), kind_of(row.event), rfc3339(row.occurred_at), rfc3339(row.recorded_at)) for row in play.rows
    ]


@given(days)
def test_any_day_has_as_many_lines_as_rows(acts: list[Act]) -> None:
    play = played(acts)
    assert [int(line["seq"]) for line in lines_of(play)] == [row.seq for row in play.rows]


def test_a_line_about_a_piece_names_its_job_item_and_step() -> None:
    day = Day()
    line = next(line for line in lines_of(day.play) if line["piece"] == day.walked and line["event"] == "cured")
    names = ("job", "design", "item", "colour", "size", "step", "station", "outcome", "say")
    assert [line[name] for name in names] == [
        *("J0001", "oars", "heavy tee", "navy", "M", "cure", "press 1", "accepted"),
        "Cured. Next: pack at packing.",
    ]


def test_a_step_that_is_done_twice_is_named_with_its_place() -> None:
    day = Day()
    steps = [line["step"] for line in lines_of(day.play) if line["piece"] == day.both_sides]
    assert steps == ["", "colour front", "cure front", "cure front", "colour back"]


def test_an_undo_names_the_rows_that_it_takes_back() -> None:
    lines = lines_of(Day().play)
    taken_back = [line["rows"].split() for line in lines if line["kind"] == "undone"]
    kinds = {line["seq"]: line["kind"] for line in lines}
    assert [[kinds[seq] for seq in rows] for rows in taken_back] == [["step assumed", "step done"], ["piece spoiled"]]


def test_the_time_on_the_shop_s_clock_stands_beside_the_time_in_utc() -> None:
    play = Play()
    play.job()
    assert (lines_of(play)[0]["occurred_at"], lines_of(play)[0]["local_time"]) == (
        "2026-11-23T14:00:00Z",
        "2026-11-23 09:00:00",
    )


def test_a_part_of_the_ledger_still_knows_the_pieces_that_were_opened_before_it() -> None:
    play = Play()
    (piece,) = play.job()
    play.scan(piece, "pretreat booth")
    (line,) = lines_of(play, Window(since=MONDAY + timedelta(seconds=1)))
    assert (line["job"], line["step"]) == ("J0001", "pretreat")


def test_a_number_is_not_in_quotes_and_a_text_is() -> None:
    play = Play()
    play.job()
    first = text_of(play).split("\r\n")[1]
    assert first.startswith('1,"job added","2026-11-23T14:00:00Z",')


def test_an_event_about_no_piece_says_what_it_says_of_itself() -> None:
    play = Play()
    play.happens(CareDone(task="stir white ink"))
    play.happens(AlarmRaised(alarm="care due", subject="stir white ink", since=MONDAY, say="Stir the white ink."))
    care, alarm = lines_of(play)
    assert (care["task"], care["piece"]) == ("stir white ink", "")
    assert (alarm["alarm"], alarm["since"]) == ("care due", "2026-11-23T14:00:00Z")


@given(st.text(max_size=40))
def test_no_text_from_outside_makes_a_line_a_cell_or_a_formula(text: str) -> None:
    play = Play()
    play.happens(CareDone(task=text))
    play.scan(text, "packing")
    lines = text_of(play).split("\r\n")
    assert len(lines) == 4
    for cells in csv.reader(lines[:3]):
        assert len(cells) == len(COLUMNS)
        assert not [cell for cell in cells if cell.lstrip().startswith(BEGINS_A_FORMULA)]
        assert not {unicodedata.category(char) for char in "".join(cells)} & DRIVES
