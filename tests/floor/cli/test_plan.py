"""`quote --promise` and `what-if`: asking about the future, and changing nothing."""

import re
from pathlib import Path

import pytest

from shared.clock import SetClock
from shared.codes import CodeType
from shared.files.cards import STATION_DOWN
from tests.floor.cli.desk import Desk, job_text
from tests.making import MONDAY, card


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """A shop with a job of twenty dark garments."""
    desk = Desk(tmp_path, SetClock(MONDAY))
    desk.json("job", "add", "-", stdin=job_text("M = 20"))
    return desk


def board(desk: Desk) -> object:
    return desk.json("board")


def test_a_promise_says_when_it_would_be_done_and_takes_nothing(desk: Desk) -> None:
    before = board(desk)
    told = desk.json("quote", "-", "--promise", stdin=job_text("M = 5"))["promise"]
    assert told["expected"] > "2026-11-23T15"
    assert (told["band"], told["late"], told["makes_late"]) == (None, False, [])
    assert board(desk) == before
    assert "Taken now, it would be done on Mon 23 Nov 2026" in desk("quote", "-", "--promise", stdin=job_text()).output


def test_without_the_question_there_is_no_promise(desk: Desk) -> None:
    assert "promise" not in desk.json("quote", "-", stdin=job_text())


def test_a_job_that_would_be_late_is_told_so(desk: Desk) -> None:
    soon = job_text("M = 5").replace("2030-12-02T16:00:00", "2026-11-23T09:10:00")
    assert "later than it is due" in desk("quote", "-", "--promise", stdin=soon).output


def test_what_if_shows_both_and_changes_nothing(desk: Desk) -> None:
    before = board(desk)
    told = desk.json("what-if", "--printer", "+1", "--hands", "+2", "--hours", "mon=07:00-12:00, 12:30-19:00")
    assert told["then"]["all_done"] < told["as_it_is"]["all_done"]
    assert told["as_it_is"]["bottleneck"] == "printer 1"
    assert board(desk) == before
    shown = desk("what-if", "--press", "+1").output
    for words in ("J0001", "bottleneck", "printer 1", "hands and machines"):
        assert words in shown


def test_what_if_says_plainly_that_without_a_press_not_all_can_be_done(desk: Desk) -> None:
    desk("scan", card(CodeType.COMMAND, STATION_DOWN), "--station", "press 1")
    shown = " ".join(desk("what-if").output.split())
    assert "not all can be done: no station for cure works" in shown
    assert "stuck" in shown
    for nonsense in ("None", "busy", "a piece"):
        assert nonsense not in shown


def test_what_if_says_what_another_press_would_bring_while_the_only_one_is_down(desk: Desk) -> None:
    desk("scan", card(CodeType.COMMAND, STATION_DOWN), "--station", "press 1")
    shown = desk("what-if", "--press", "+1").output
    assert re.search(r"bottleneck +– +printer 1, busy", shown)


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("--hours", "someday=07:00-19:00"), "no opening of a day"),
        (("--hours", "mon"), "no opening of a day"),
        (("--hours", "mon=seven"), "is no opening"),
        (("--press", "-1"), "at least one must be left"),
    ],
)
def test_a_change_that_makes_no_sense_is_refused(desk: Desk, words: tuple[str, ...], why: str) -> None:
    result = desk("what-if", *words)
    assert result.exit_code == 1
    assert why in result.stderr


def test_a_number_that_is_none_is_wrong_usage(desk: Desk) -> None:
    assert desk("what-if", "--press", "one").exit_code == 2


def test_with_nothing_open_there_is_nothing_to_ask(tmp_path: Path) -> None:
    result = Desk(tmp_path)("what-if", "--press", "+1")
    assert (result.exit_code, "No piece is open" in result.stderr) == (1, True)


def test_a_quote_for_a_day_that_is_past_asks_whether_the_date_is_right(desk: Desk) -> None:
    past = job_text().replace("2030-12-02", "2020-01-01")
    assert "due in the past" in desk("quote", "-", stdin=past).stderr
    assert "past" not in desk("quote", "-", stdin=job_text()).stderr
