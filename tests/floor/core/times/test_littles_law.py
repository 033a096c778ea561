"""Little's law in our own figures: mean work in process is throughput × mean cycle time, exactly.

Over any window that starts and ends empty it holds of every sample path (J. D. C. Little, 1961; from memory).
"""

from collections.abc import Iterable
from datetime import datetime, timedelta
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.core.figures.times import cycles, step_weeks
from floor.core.state.piece import Piece
from floor.core.times.cycle import Figures, Walks, cycle_time
from shared.events.reads import StepDone, StepStarted
from shared.files.shop import Shop, parse_shop
from tests.floor.plays import Act, days, played
from tests.making import MONDAY, Play, shop_data


def seen_at_both_ends() -> Shop:
    """A shop in which the start of the first step is scanned, so that nothing is derived."""
    data = shop_data()
    data["steps"]["colour"]["scans"] = "in_out"
    return parse_shop(data)


microseconds = st.integers(0, 50_000_000_000).map(lambda n: timedelta(microseconds=n))
spans = st.lists(st.tuples(microseconds, microseconds), min_size=1, max_size=12)
"""Of some pieces: how long after the morning each is begun, and how long it takes beyond the shortest walk."""


@given(spans)
def test_little_s_law_holds_exactly_in_our_own_figures(spans: list[tuple[timedelta, timedelta]]) -> None:
    play = Play(seen_at_both_ends())
    pieces = play.job(colour="white", sizes={"M": len(spans)})
    for code, (begins, longer) in zip(pieces, spans, strict=True):
        through(play, code, begins, longer)
    finished = [play.piece(code) for code in pieces]
    window, work = window_and_work(play)

    ours = [cycle_time(Walks(play.floor, play.shop).of(piece), play.shop.hours) for piece in finished]
    total = sum((cycle.elapsed for cycle in ours if cycle), timedelta(0))
    throughput = Fraction(len(finished)) / window
    assert Fraction(work) / window == throughput * Fraction(total // timedelta(microseconds=1), len(finished))
    assert_shown(play, finished, work)


def through(play: Play, code: str, begins: timedelta, longer: timedelta) -> None:
    """A light garment walks: ten seconds of printing, a minute in the press, and so much longer waiting for it."""
    stops = (("printer 1", 0), ("printer 1", 10), ("press 1", 20), ("press 1", 80), ("packing", 90))
    for station, after_s in stops:
        wait = longer if station != "printer 1" else timedelta(0)
        play.scan(code, station, at=MONDAY + begins + wait + timedelta(seconds=after_s))
    assert play.piece(code).state == "finished"


def window_and_work(play: Play) -> tuple[int, int]:
    """Microseconds from the first start to the last end, and the integral of the pieces in between, from the rows."""
    steps = [row for row in play.rows if isinstance(row.event, StepStarted | StepDone)]
    changes = [(row.occurred_at, 1) for row in steps if isinstance(row.event, StepStarted) and row.event.step == 0]
    changes += [(row.occurred_at, -1) for row in steps if isinstance(row.event, StepDone) and row.event.step == 2]
    changes.sort()
    work, inside = timedelta(0), 0
    for (before, change), (after, _) in pairwise(changes):
        inside += change
        work += inside * (after - before)
    tick = timedelta(microseconds=1)
    return (changes[-1][0] - changes[0][0]) // tick, work // tick


def assert_shown(play: Play, finished: list[Piece], work: int) -> None:
    """The week's figures are these too."""
    shown = cycles(Walks(play.floor, play.shop), play.shop, finished, working=False)
    assert (shown.n, shown.derived, shown.assumed) == (len(finished), 0, 0)
    assert shown.mean is not None
    assert shown.n * shown.mean == pytest.approx(work / 1e6, rel=1e-12)


# Any day, with what it spoils, gives up, leaves out and tells late: the law holds of each part that our figures count


@given(days)
def test_the_law_holds_of_the_pieces_that_any_day_finishes(acts: list[Act]) -> None:
    play = played(acts)
    walks = Walks(play.floor, play.shop)
    finished = [piece for piece in play.floor.pieces.values() if piece.finished and not walks.of(piece)[0].assumed]
    inside = [
        (time.started, piece.finished)
        for piece in finished
        for time in [next(time for time in walks.of(piece) if time.started)]
    ]
    figures = cycles(walks, play.shop, finished, working=False)
    assert figures.n == len(finished)
    assert total_s(figures) == pytest.approx(area_s(inside), abs=1e-6)


@given(days)
def test_the_law_holds_at_every_queue_and_every_step_of_any_day(acts: list[Act]) -> None:
    play = played(acts)
    walks = Walks(play.floor, play.shop)
    worked = [time for piece in play.floor.pieces.values() for time in walks.of(piece) if time.done]
    for key, week in step_weeks(play.shop, worked).items():
        here = [time for time in worked if time.step.key == key]
        assert total_s(week.queuing_s) == pytest.approx(area_s((time.ready, time.started) for time in here), abs=1e-6)
        assert total_s(week.processing_s) == pytest.approx(area_s((time.started, time.done) for time in here), abs=1e-6)


def total_s(figures: Figures) -> float:
    """Mean time × pieces: by the law, mean work in process × the length of the window."""
    return figures.n * (figures.mean or 0)


def area_s(stays: Iterable[tuple[datetime | None, datetime | None]]) -> float:
    """The same from the pieces that were inside at each moment: the area under their number, over the whole window."""
    known = [(start, end) for start, end in stays if start and end and start <= end]
    ups = [(start, 1) for start, _ in known]
    moments = sorted([*ups, *((end, -1) for _, end in known)])
    area, inside = 0.0, 0
    for (before, change), (after, _) in pairwise(moments):
        inside += change
        area += inside * (after - before).total_seconds()
    return area
