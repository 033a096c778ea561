"""How the time of one pair of hands in a shift is divided over what its reads report, each second once.

Never gives out more than passed. The rules, and how near they come to the truth, are in the README; tests/outside
plays them against shops whose truth is known.
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from itertools import pairwise
from typing import NamedTuple

from floor.core.times.line import Stretch
from floor.core.times.share import LOADING, Basis, Key, Report, Share, Why

ROOM = 0.6
"""A stretch has room for loading beside this share of what its own steps take by the standard."""
FAR = 2
"""Beyond so many standards the hands did something else too: the standard stands in."""
SHORT = 0.2
"""Below this share of the standard the work was done before, or elsewhere: the standard stands in."""


class Load(NamedTuple):
    """A machine that had to be loaded between two moments, and how long that takes by the standard."""

    earliest: datetime
    latest: datetime
    seconds: float


class StandIn(NamedTuple):
    """A step for which the standard stands in, and why."""

    report: Report
    why: Why
    began: datetime | None
    """Since when it can have been worked on."""


def passed_s(stretch: Stretch) -> float:
    """Working seconds that its reads show: since the read before; a first read shows that its standard was worked."""
    return stretch.length_s if stretch.since else stretch.standard_s


# Hands that load machines


def reserve(line: Sequence[Stretch], loads: Iterable[Load]) -> None:
    """Hands that loaded a machine did nothing else meanwhile: in the first stretch that has room for it."""
    ends = [stretch.until for stretch in line]
    for load in sorted(loads, key=lambda load: load.latest):
        stretch = _with_room(line, bisect_right(ends, load.earliest), load)
        if stretch is not None:
            stretch.reserved_s += load.seconds


def _with_room(line: Sequence[Stretch], first: int, load: Load) -> Stretch | None:
    """The first stretch, from one on, that begins early enough and has room; else the one with the most room."""
    roomiest: Stretch | None = None
    for index in range(first, len(line)):
        stretch = line[index]
        if stretch.since is None:
            continue
        if stretch.since >= load.latest:
            break
        if _room_s(stretch) >= load.seconds:
            return stretch
        if roomiest is None or _room_s(stretch) > _room_s(roomiest):
            roomiest = stretch
    return roomiest


def _room_s(stretch: Stretch) -> float:
    own_s = ROOM * _touch_s(stretch.by_hand)
    closes_s = LOADING * _touch_s(report for report in stretch.served if not report.ends)
    return stretch.length_s - own_s - closes_s - stretch.reserved_s


def _touch_s(reports: Iterable[Report]) -> float:
    return sum(report.step.touch_s for report in reports)


# Steps that were scanned in and are not out


class Opened:
    """The steps by hand that lie open while a line goes on, and what they were given so far, seconds."""

    def __init__(self, brought: dict[Key, float]) -> None:
        self.given_s = brought
        """Of those that are open."""
        self.seen_s: dict[Key, float] = {}
        """Of those that were scanned out."""

    def follow(self, line: Sequence[Stretch]) -> None:
        """Give out the time of the stretches in their order."""
        weights = {report.key: _weight(report) for stretch in line for report in stretch.reports}
        for stretch in line:
            self._give(stretch, weights)
            for report in stretch.reports:
                self._note(report)

    def _give(self, stretch: Stretch, weights: dict[Key, float]) -> None:
        """All that is open shares the time with what the later read reports, by the standards."""
        if not self.given_s or stretch.since is None:
            return
        opened = {key: weights.get(key, 1.0) for key in self.given_s}
        reported = sum(_weight(report) for report in stretch.by_hand if report.key not in opened)
        whole = sum(opened.values()) + reported
        for key, weight in opened.items():
            self.given_s[key] += stretch.length_s * weight / whole
        stretch.own_s *= reported / whole

    def _note(self, report: Report) -> None:
        if report.ends and report.key in self.given_s:
            self.seen_s[report.key] = self.given_s.pop(report.key)
        elif not report.ends and _stays_with_these_hands(report):
            self.given_s[report.key] = 0.0


def _weight(report: Report) -> float:
    return report.step.touch_s or 1.0


def _stays_with_these_hands(report: Report) -> bool:
    """Whether a step that was scanned in is theirs until it is scanned out: not another's, not of a machine."""
    if report.step.has_machine or report.piece.given_up:
        return False
    walked = report.piece.walk[report.n]
    return walked.done is None or walked.badge == report.row.badge


# Steps whose start follows from the reads before


def measured(line: Sequence[Stretch], seen: Iterable[Key]) -> tuple[dict[Key, Share], list[StandIn]]:
    """The steps by hand that were scanned when they were done: those whose time is known, and the others."""
    shares: dict[Key, Share] = {}
    stand_ins: list[StandIn] = []
    already = set(seen)
    for before, stretch in pairwise([None, *line]):
        assert stretch is not None
        reports = [report for report in stretch.by_hand if report.key not in already]
        why = _doubt(before, stretch, reports)
        if why:
            stand_ins += (StandIn(report, why, stretch.workable) for report in reports)
        else:
            shares |= _shared(stretch, reports)
    return shares, stand_ins


def _doubt(before: Stretch | None, stretch: Stretch, reports: Sequence[Report]) -> Why:
    """Why the time of a stretch says nothing of its steps."""
    if stretch.typed or (before is not None and before.typed):
        return "moment typed"
    if stretch.since is None:
        return "first read of a shift"
    standard_s, hands_s = _touch_s(reports), _hands_s(stretch)
    if hands_s > FAR * standard_s:
        return "too long to be one step"
    return "too short to be true" if hands_s < SHORT * standard_s else ""


def _hands_s(stretch: Stretch) -> float:
    """What remains for its own steps when the loading that fitted nowhere else is taken off."""
    before_ready_s = stretch.length_s - stretch.own_s
    return stretch.own_s - max(stretch.reserved_s - before_ready_s, 0.0)


def _shared(stretch: Stretch, reports: Sequence[Report]) -> dict[Key, Share]:
    basis: Basis = "measured" if len(reports) == 1 else "shared"
    standard_s, hands_s = _touch_s(reports), _hands_s(stretch)
    return {
        report.key: Share(hands_s * part, basis, began=stretch.workable, most_s=stretch.own_s * part)
        for report in reports
        if standard_s and (part := report.step.touch_s / standard_s)
    }


# The standard


def served(line: Iterable[Stretch]) -> Iterator[StandIn]:
    """The touches around machines: nobody scans them."""
    for stretch in line:
        yield from (StandIn(report, "serves a machine", None) for report in stretch.served if report.ends)


def stood_in(stand_ins: Sequence[StandIn], left_s: float) -> dict[Key, Share]:
    """The standards of steps, or as much of them as the shift has left."""
    need_s = _touch_s(each.report for each in stand_ins)
    part = min(1.0, max(left_s, 0.0) / need_s) if need_s else 1.0
    return {
        each.report.key: Share(each.report.step.touch_s * part, "standard", each.why, each.began) for each in stand_ins
    }
