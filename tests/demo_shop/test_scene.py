"""What a person sees."""

from datetime import timedelta
from io import StringIO
from itertools import islice

import pytest
from rich.console import Console

from demo_shop.play import Heard
from demo_shop.promises import same
from demo_shop.scene import Scene
from floor.core.plan.board import board
from shared.scan import Answer, Scan
from tests.making import MONDAY, Play


def console(*, terminal: bool = True, quiet: bool = False) -> Console:
    return Console(file=StringIO(), force_terminal=terminal, width=100, height=30, quiet=quiet, _environ={})


def seen(console: Console) -> str:
    assert isinstance(console.file, StringIO)
    return console.file.getvalue()


@pytest.fixture
def pauses(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """How long a person was given to look, instead of the time itself."""
    taken: list[float] = []
    monkeypatch.setattr("demo_shop.scene.time.sleep", taken.append)
    return taken


def heard(answer: Answer) -> Heard:
    return Heard(Scan(read_id="1", text="1000000161", at=MONDAY, device="press gun"), answer)


def test_a_moving_wall_is_looked_at_every_minute_and_given_time_when_something_changed(pauses: list[float]) -> None:
    play, screen = Play(), console()
    scene = Scene(screen, moving=True)
    assert list(islice(scene.moments(MONDAY), 2)) == [MONDAY + timedelta(minutes=1), MONDAY + timedelta(minutes=2)]
    play.job()
    with scene.wall(play.shop) as see:
        assert see is not None
        see(board(play.floor, play.shop, MONDAY), [])
        see(board(play.floor, play.shop, MONDAY + timedelta(minutes=1)), [])
    assert len(pauses) == 1
    assert "My print room" in seen(screen)


def test_beneath_the_wall_stand_the_newest_read_and_the_newest_trouble(pauses: list[float]) -> None:
    play, screen = Play(), console()
    early = heard(Answer(outcome="refused", say="Too early: keep it closed 57 s more.", reason="too-short"))
    good = heard(Answer(outcome="accepted", say="Packed. Finished."))
    with Scene(screen, moving=True).wall(play.shop) as see:
        assert see is not None
        see(board(play.floor, play.shop, MONDAY), [early, good])
    assert "press gun: accepted. Packed. Finished." in seen(screen)
    assert "Too early: keep it closed 57 s more." in seen(screen)


def test_stills_are_few_and_take_no_time(pauses: list[float]) -> None:
    play, paper = Play(), console(terminal=False)
    scene = Scene(paper, moving=False)
    moments = list(scene.moments(MONDAY))
    with scene.wall(play.shop) as see:
        assert see is not None
        for moment in moments:
            see(board(play.floor, play.shop, moment), [])
    assert len(moments) == seen(paper).count("My print room") == 3
    assert pauses == []


def test_nobody_is_shown_anything_on_a_quiet_console() -> None:
    nobody = console(quiet=True)
    scene = Scene(nobody, moving=False)
    scene.say("words")
    with scene.wall(Play().shop) as see:
        assert see is None
    assert seen(nobody) == ""


def test_every_broken_promise_is_named() -> None:
    paper = console(terminal=False)
    Scene(paper, moving=False).show_promises([same("one", 1, 1), same("two", 1, 2)])
    assert "1 of 2 promises kept" in seen(paper)
    assert "two: found 1, promised 2" in seen(paper)
