"""Boards for tests: made up line by line, and at random.

Never folds a floor: a wall must draw whatever a board holds.
"""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from io import StringIO

from hypothesis import strategies as st
from msgspec.structs import replace
from rich.console import Console, RenderableType

from floor.core.plan.board import AlarmLine, Board, BoardJob, StepLine, Today
from floor.core.plan.presses import InPress
from floor.core.plan.wet import Wet
from floor.wall.signs import ALARMS
from shared.codes import CodeType, grouped, make

NOW = datetime(2026, 11, 25, 19, 5, 9, tzinfo=UTC)
"""Five past two in the afternoon in New York."""
STEPS = ("pretreat", "underlayer", "inspect", "colour", "cure", "pack")
SIZES = ((60, 15), (80, 24), (100, 30), (200, 60))
NASTY = (
    "\x1b[2J\x1b[31mred\x1b]0;title\x07",
    "\x9b31m \x00 \r\n\t up\x0bdown",
    "\u202eright to left\u2066 isolate",
    "مطبعة النورس ٢٤",
    "東京スタジオ・夜間印刷部",
    "👩‍👩‍👧‍👦 ❤️ 🏳️‍🌈 family",
    "Z" + "\u0301\u0489" * 40 + "algo",
    "[bold red]markup[/bold red] [/] [link=x]",
    "a\u200b\u200d\ufeffb" * 30,
    "x" * 500,
    "\ud800 half a pair",
    "",
)


def ahead(minutes: float) -> datetime:
    return NOW + timedelta(minutes=minutes)


def code(serial: int) -> str:
    return make(CodeType.PIECE, serial)


def shown_code(serial: int) -> str:
    """A piece's code as people read it."""
    return grouped(code(serial))


def pressed(station: str, serial: int, left_s: float, over_s: float = 60) -> InPress:
    opens = NOW + timedelta(seconds=left_s)
    closed = opens - timedelta(seconds=180)
    return InPress(
        station=station, piece=code(serial), closed_since=closed, opens_at=opens, seconds_left=left_s, over_s=over_s
    )


def wet(serial: int, minutes: float, *, limit_min: float | None = 20, in_min: float | None = 1) -> Wet:
    return Wet(
        piece=code(serial),
        step="cure",
        since=ahead(-minutes),
        wet_s=minutes * 60,
        limit_s=None if limit_min is None else limit_min * 60,
        expected_in=None if in_min is None else ahead(in_min),
        expected_out=None if in_min is None else ahead(in_min + 3),
    )


def job(number: int, customer: str = "Harbour rowing club", *, due_min: float = 60, late: bool = False) -> BoardJob:
    return BoardJob(
        job=f"J{number:04}",
        customer=customer,
        due=ahead(due_min),
        pieces=24,
        finished=12,
        spoiled=1,
        held=False,
        expected_finish=ahead(due_min + (30 if late else -30)),
        expected_between=None,
        late=late,
    )


def alarm(kind: str, serial: int, say: str = "do something", station: str | None = None) -> AlarmLine:
    return AlarmLine(kind=kind, subject=code(serial), piece=code(serial), station=station, since=ahead(-4), say=say)


def step(name: str, waiting: int = 0, working: int = 0) -> StepLine:
    return StepLine(step=name, waiting=waiting, working=working, oldest_wait_s=840 if waiting else None)


EMPTY = Board(
    at=NOW,
    seq=1,
    steps=[step(name) for name in STEPS],
    presses=[InPress(station="press 1"), InPress(station="press 2")],
    wet=[],
    next={},
    jobs=[],
    alarms=[],
    contradictions=[],
    today=Today(finished=0, spoiled=0),
    hands=[],
)
"""A floor on which nothing has happened yet."""

BUSY = replace(
    EMPTY,
    seq=991,
    steps=[step(name, waiting, 1) for name, waiting in zip(STEPS, (12, 3, 0, 4, 7, 9), strict=True)],
    presses=[pressed("press 1", 12, 125), pressed("press 2", 13, -72)],
    wet=[wet(20 + n, minutes) for n, minutes in enumerate((24, 17, 12, 9, 6, 4, 1))],
    jobs=[job(n, due_min=60 * n, late=n == 1) for n in range(1, 9)],
    alarms=[
        alarm("job late", 1, "J0001 for Harbour rowing club will be late."),
        alarm("wet too long", 20, f"{code(20)} is wet for more than 20 min: press it now."),
        alarm("press over time", 13, f"press 2 is over its time: take {code(13)} out.", "press 2"),
    ],
    today=Today(finished=37, spoiled=2),
)


def lines_of(what: RenderableType, width: int, height: int = 25) -> list[str]:
    """What a terminal of that size would show, without styles."""
    console = Console(width=width, height=height, file=StringIO(), color_system=None)
    with console.capture() as picture:
        console.print(what, end="")
    return picture.get().splitlines()


def written(what: RenderableType, width: int, *, no_color: bool = False) -> str:
    """All that is sent to a terminal, styles included."""
    console = Console(width=width, file=StringIO(), force_terminal=True, color_system="truecolor", no_color=no_color)
    with console.capture() as picture:
        console.print(what, end="")
    return picture.get()


def columns_of(text: str, words: Sequence[str]) -> list[int]:
    """Where words begin in a line."""
    return [text.index(word) for word in words]


# At random

TEXTS = st.one_of(st.sampled_from(NASTY), st.text(max_size=40))
MOMENTS = st.integers(-100_000, 100_000).map(ahead)
SECONDS = st.floats(-100_000, 100_000)
WAITS = st.floats(0, 1_000_000)
SERIALS = st.integers(0, 9_999_999)

_presses = st.builds(pressed, TEXTS, SERIALS, SECONDS, WAITS) | st.builds(InPress, station=TEXTS)
_wet = st.builds(
    wet, SERIALS, WAITS, limit_min=st.none() | st.floats(0.1, 10_000), in_min=st.none() | st.floats(0, 10_000)
)
_jobs = st.builds(
    BoardJob,
    job=st.integers(1, 10**7).map("J{:04}".format),
    customer=TEXTS,
    due=MOMENTS,
    pieces=st.integers(0, 100_000),
    finished=st.integers(0, 100_000),
    spoiled=st.integers(0, 1_000),
    held=st.booleans(),
    expected_finish=st.none() | MOMENTS,
    late=st.booleans(),
)
_alarms = st.builds(
    AlarmLine,
    kind=st.sampled_from(sorted(ALARMS)) | TEXTS,
    subject=TEXTS,
    piece=st.none() | SERIALS.map(code),
    station=st.none() | TEXTS,
    since=MOMENTS,
    say=TEXTS,
)
_steps = st.builds(
    StepLine,
    step=TEXTS,
    waiting=st.integers(0, 100_000),
    working=st.integers(0, 1_000),
    oldest_wait_s=st.none() | WAITS,
)
BOARDS = st.builds(
    Board,
    at=st.just(NOW),
    seq=st.integers(0, 10**9),
    steps=st.lists(_steps, max_size=12),
    presses=st.lists(_presses, max_size=7),
    wet=st.lists(_wet, max_size=40),
    jobs=st.lists(_jobs, max_size=60),
    alarms=st.lists(_alarms, max_size=30),
    contradictions=st.lists(SERIALS.map(code), max_size=5),
    today=st.builds(Today, finished=st.integers(0, 100_000), spoiled=st.integers(0, 100_000)),
)
