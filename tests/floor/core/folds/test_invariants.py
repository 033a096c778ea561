"""What cannot be is found, with the row that says so; what a shop does is never taken for it."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from msgspec.structs import replace

from floor.core.folds.invariants import Wrong, wrongs
from shared.codes import CodeType
from shared.events.base import Event
from shared.events.jobs import JobHeld, PieceOpened
from shared.events.reads import Contradicted, PieceSpoiled, StepDone, StepStarted, Undone
from shared.events.recorded import Recorded
from tests.making import DARK_WALK, Play, card, walk

NOBODY = "1000000999"
CURE = 4


def a_day() -> Play:
    """A piece that is finished, one that is spoiled, its remake, and one whose last step was taken back."""
    play = Play()
    pieces = play.job(sizes={"M": 3})
    walk(play, pieces[0])
    play.scan(card(CodeType.REASON, "banding"), "inspection")
    play.scan(pieces[1], "inspection", after_s=5)
    play.scan(pieces[2], "pretreat booth")
    play.scan(card(CodeType.COMMAND, "undo"), "pretreat booth", after_s=10)
    return play


def after(event: Event) -> Wrong:
    """What is wrong when this follows a whole day; it is the last row that is blamed."""
    play = a_day()
    rows = [*play.rows, Recorded(seq=len(play.rows) + 1, occurred_at=play.now, recorded_at=play.now, event=event)]
    [wrong] = wrongs(rows)
    assert wrong.seq == len(rows)
    return wrong


def piece(play: Play, n: int = 0) -> str:
    return list(play.floor.pieces)[n]


def test_nothing_is_wrong_with_what_the_rules_let_through() -> None:
    assert wrongs(a_day().rows) == []
    assert wrongs([]) == []


@pytest.mark.parametrize(
    ("event", "why"),
    [
        (StepDone(piece=NOBODY, step=0, event="pretreated"), f"it is about piece {NOBODY}, which nobody opened"),
        (JobHeld(job="J0099"), "it is about job J0099, which nobody added"),
        (
            PieceOpened(piece=NOBODY, job="J0099", line=1, number=1, size="M", route=()),
            f"piece {NOBODY} is of job J0099, which nobody added",
        ),
        (
            PieceOpened(piece=NOBODY, job="J0001", line=2, number=1, size="M", route=()),
            f"piece {NOBODY} is of line 2, which job J0001 does not have",
        ),
        (
            PieceOpened(piece=NOBODY, job="J0001", line=1, number=1, size="M", route=(), remake_of="1"),
            f"piece {NOBODY} is a remake of 1, which nobody opened",
        ),
    ],
)
def test_a_row_about_what_is_not_there_is_named(event: Event, why: str) -> None:
    assert after(event).why == why


@pytest.mark.parametrize(
    ("event_about", "why"),
    [
        (lambda code: StepDone(piece=code, step=6, event="packed"), "has no step 6"),
        (lambda code: StepStarted(piece=code, step=-1), "has no step -1"),
        (lambda code: Contradicted(piece=code, step=99), "has no step 99"),
        (lambda code: Undone(piece=code, rows=(10_000,)), "it takes back what is not recorded yet"),
        (lambda code: Undone(piece=code, rows=(), remake=NOBODY), "which nobody opened"),
        (lambda code: StepDone(piece=code, step=0, event="pretreated"), "pretreat of piece {} is done twice"),
        (
            lambda code: PieceOpened(piece=code, job="J0001", line=1, number=1, size="M", route=()),
            "piece {} was opened before",
        ),
        (lambda code: PieceSpoiled(piece=code, reason="stain", remake=NOBODY), f"its remake {NOBODY} was not opened"),
        (lambda code: PieceSpoiled(piece=code, reason="stain", remake=code), "is of another piece than {}"),
    ],
)
def test_a_row_that_cannot_be_true_of_its_piece_is_named(event_about: Callable[[str], Event], why: str) -> None:
    code = piece(a_day())
    assert why.format(code) in after(event_about(code)).why


def test_a_job_is_not_added_twice() -> None:
    assert after(a_day().rows[0].event).why == "job J0001 was added before"


def test_a_finished_piece_that_was_never_cured_is_named_with_the_row_that_finished_it() -> None:
    play = Play()
    [code] = play.job()
    walk(play, code, DARK_WALK[:4])
    play.happens(StepDone(piece=code, step=5, event="packed"))
    assert wrongs(play.rows) == [Wrong(len(play.rows), f"piece {code} is finished without its cure")]


def test_a_cure_without_a_beginning_is_named() -> None:
    play = Play()
    [code] = play.job()
    walk(play, code, DARK_WALK[:4])
    play.happens(StepDone(piece=code, step=CURE, event="cured"))
    assert wrongs(play.rows) == [Wrong(len(play.rows), f"cure of piece {code} has an end and no beginning")]


def test_a_cure_that_was_too_short_is_named_with_both_times() -> None:
    play = Play()
    [code] = play.job()
    walk(play, code, DARK_WALK[:5])
    play.now += timedelta(seconds=179.5)
    play.happens(StepDone(piece=code, step=CURE, event="cured"))
    [wrong] = wrongs(play.rows)
    assert wrong == Wrong(len(play.rows), f"cure of piece {code} lasted 179.5 s, and at least 180 s it must")


def test_a_read_that_is_recorded_twice_is_named_once_at_its_second_row() -> None:
    rows = a_day().rows
    again = replace(rows[-1], seq=len(rows) + 1)
    assert wrongs([*rows, again]) == [Wrong(again.seq, f"read {again.read_id} was recorded before")]


def test_a_hole_is_named_and_what_follows_is_still_looked_at() -> None:
    rows = a_day().rows
    assert wrongs([*rows[:5], *rows[6:]])[0] == Wrong(7, "it follows row 5")


def test_the_first_wrong_row_comes_first() -> None:
    play = Play()
    [code] = play.job()
    walk(play, code, DARK_WALK[:5])
    play.happens(StepDone(piece=code, step=CURE, event="cured"))
    too_short = len(play.rows)
    rows = [*play.rows, replace(play.rows[-1], seq=too_short + 1, event=JobHeld(job="J0099"))]
    assert [wrong.seq for wrong in wrongs(rows)] == [too_short, too_short + 1]
