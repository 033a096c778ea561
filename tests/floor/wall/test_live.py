"""The wall kept current."""

from collections.abc import Callable
from datetime import timedelta
from io import StringIO

import pytest
from msgspec.structs import replace
from rich.console import Console

from floor.core.plan.board import Board
from floor.wall.alarms import Showing
from floor.wall.live import FRAME_S, NO_TERMINAL, print_once, show
from shared.clock import SetClock
from tests.floor.wall.boards import BUSY, EMPTY, NOW, pressed
from tests.making import shop

ENTER, LEAVE = "\x1b[?1049h", "\x1b[?1049l"
HIDE, SHOW = "\x1b[?25l", "\x1b[?25h"


class Screen:
    """A terminal, a clock that moves while the wall waits, and a floor that changes meanwhile."""

    def __init__(self, board: Board = EMPTY) -> None:
        self.board = board
        self.clock = SetClock(NOW)
        self.console = Console(
            file=StringIO(),
            force_terminal=True,
            width=80,
            height=24,
            _environ={"TERM": "xterm", "COLORTERM": "truecolor"},
        )
        self.waits: list[float] = []
        self.running = True
        self.reachable = True

    def read(self) -> Board:
        if self.reachable:
            self.board = replace(self.board, at=self.clock.now())
        return self.board

    def run(self, *moves: Callable[[], object], past: bool = False, step_s: float = 0.25) -> str | None:
        """Show the wall; what happens in each wait, and then it is time to end."""
        left = list(moves)

        def wait(seconds: float) -> bool:
            self.waits.append(seconds)
            self.clock.advance(timedelta(seconds=step_s))
            if not left:
                return True
            left.pop(0)()
            return False

        return show(self.read, shop(), self.console, self.clock, wait, lambda: self.running, past=past)

    @property
    def sent(self) -> str:
        file = self.console.file
        assert isinstance(file, StringIO)
        return file.getvalue()

    @property
    def frames(self) -> int:
        return self.sent.count(shop().name)


def nothing() -> None:
    """Nothing happens."""


def test_it_draws_on_a_screen_of_its_own_and_leaves_the_terminal_as_it_was() -> None:
    screen = Screen()
    assert screen.run() is None
    assert screen.sent.startswith(ENTER)
    assert screen.sent.endswith(LEAVE)
    assert screen.sent.rindex(SHOW) > screen.sent.index(HIDE)


def test_it_looks_four_times_a_second_and_no_more() -> None:
    screen = Screen()
    screen.run(nothing, nothing)
    assert screen.waits == [FRAME_S] * 3
    assert FRAME_S >= 0.25


def test_as_long_as_nothing_changes_nothing_is_drawn_again() -> None:
    screen = Screen()
    screen.run(*[nothing] * 20)
    assert screen.frames == 1


def test_it_draws_when_something_happened_on_the_floor() -> None:
    screen = Screen()

    def scan() -> None:
        screen.board = replace(screen.board, seq=2)

    screen.run(scan, nothing, nothing)
    assert screen.frames == 2


def test_it_draws_each_second_while_a_press_counts_down() -> None:
    screen = Screen(replace(EMPTY, presses=[pressed("press 1", 1, 100)]))
    screen.run(*[nothing] * 11)
    assert screen.frames == 3


def test_it_draws_each_minute_when_nothing_is_timed() -> None:
    screen = Screen()
    screen.run(*[nothing] * 5, step_s=30)
    assert screen.frames == 3


def test_it_draws_when_the_window_changes_its_size() -> None:
    screen = Screen()

    def resize() -> None:
        screen.console.size = (60, 15)

    screen.run(resize, nothing)
    assert screen.frames == 2
    assert screen.sent.rpartition("\x1b[H")[2].count("\n") == 14


def test_a_board_that_can_not_be_had_anew_is_shown_with_its_age() -> None:
    screen = Screen()

    def unplug() -> None:
        screen.reachable = False

    screen.run(unplug, *[nothing] * 28)
    assert "What you see is 7 s old." in screen.sent
    assert "What you see is 5 s old." in screen.sent
    assert "What you see is 4 s old." not in screen.sent


def test_it_says_when_the_floor_is_not_running() -> None:
    screen = Screen()
    screen.running = False
    screen.run()
    assert "NOT RUNNING" in screen.sent


def test_a_past_moment_is_never_called_old() -> None:
    screen = Screen()
    screen.reachable = False
    screen.run(*[nothing] * 100, past=True)
    assert screen.frames == 1
    assert "PAST" in screen.sent
    assert "OLD" not in screen.sent


def test_ctrl_c_ends_it_well() -> None:
    screen = Screen()

    def interrupt() -> None:
        raise KeyboardInterrupt

    assert screen.run(interrupt) is None
    assert screen.sent.endswith(LEAVE)


def test_what_goes_wrong_in_reading_is_told_on_a_terminal_that_was_put_back() -> None:
    screen = Screen()

    def broken() -> None:
        raise OSError("the ledger is gone")

    with pytest.raises(OSError, match="the ledger is gone"):
        screen.run(broken)
    assert screen.sent.endswith(LEAVE)


@pytest.mark.parametrize(
    "console", [Console(file=StringIO()), Console(file=StringIO(), force_terminal=True, _environ={"TERM": "dumb"})]
)
def test_without_a_terminal_it_says_what_to_do_instead(console: Console) -> None:
    screen = Screen()
    screen.console = console
    assert screen.run() == NO_TERMINAL
    assert screen.sent == ""
    assert screen.waits == []


# Once


def test_in_a_pipe_one_picture_is_plain_text_without_blanks_at_its_edges() -> None:
    console = Console(file=StringIO(), width=80, height=24)
    print_once(BUSY, shop(), console)
    assert isinstance(console.file, StringIO)
    text = console.file.getvalue()
    assert "\x1b" not in text
    assert text == "\n".join(line.rstrip() for line in text.splitlines()) + "\n"
    assert "▲ OVER TIME" in text.splitlines()[1]


def test_one_picture_of_a_past_moment_says_so() -> None:
    console = Console(file=StringIO(), force_terminal=True, color_system="truecolor", width=80, height=24)
    print_once(BUSY, shop(), console, Showing(past=True))
    assert isinstance(console.file, StringIO)
    assert "PAST" in console.file.getvalue()
    assert console.file.getvalue().count("\n") == 24
