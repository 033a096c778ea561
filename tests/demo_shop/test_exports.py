"""What other programs make of the demo's day, against what its week says."""

from pathlib import Path
from statistics import median

from floor.core.figures.times import cycles
from floor.core.times.cycle import Walks
from floor.exports.xes import xes_document
from tests.demo_shop.conftest import PlayedDay
from tests.outside.miner import Told, case_time_s, read_by_r4pm, said


def whole(events: list[Told]) -> bool:
    """Whether a case was finished, and its first step not only taken as done: what the week counts."""
    first = next(event for event in events if event["lifecycle:transition"] != "start")
    return bool(events[-1]["concept:name"] == "pack" and first["lifecycle:transition"] != "unknown")


def test_a_miner_s_case_time_is_the_week_s_cycle_time(tmp_path: Path, day: PlayedDay) -> None:
    """By r4pm. pm4py 2.7.23 found the same median of the same day, once, by hand."""
    file = tmp_path / "events.xes"
    file.write_bytes(b"".join(xes_document(day.rows, day.shop)))
    cases = [[said(event["attributes"]) for event in trace["events"]] for trace in read_by_r4pm(file)]
    lasted = [case_time_s(events) for events in cases if events and whole(events)]
    finished = [piece for piece in day.floor.pieces.values() if piece.state == "finished"]
    week = cycles(Walks(day.floor, day.shop), day.shop, finished, working=False)
    assert week.median is not None
    assert week.n > 30
    assert (len(lasted), round(median(lasted), 3)) == (week.n, round(week.median, 3))
