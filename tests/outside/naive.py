"""A week's hours worked out anew from the ledger's CSV and the shop file, as simply as it can be done.

Never imports the product, and never is clever: loops over lists, seconds as floats, the zone's offset of that week.
The rules are those that the README and floor/core/times tell; the code is another.
"""

import csv
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import datetime, timedelta, timezone
from itertools import pairwise
from statistics import mean, median
from typing import Any

NEW_YORK_IN_WINTER = timezone(timedelta(hours=-5))
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
Row = dict[str, str]


def seconds(text: str) -> float:
    return datetime.fromisoformat(text).timestamp()


@dataclass
class Step:
    """One step of one piece: what the shop file says of it, and what the rows do."""

    key: str
    by: dict[str, Any]
    started: float | None = None
    done: float | None = None
    assumed: bool = False
    station: str = ""
    badge: str = ""
    hands_s: float | None = None
    hands_sure: bool = False
    machine_s: float | None = None
    machine_sure: bool = False
    since: float | None = None
    """Since when its time is known to have run."""
    shared: bool = False

    @property
    def touch_s(self) -> float:
        return float(self.by.get("touch_s", 0))

    @property
    def runs_s(self) -> float:
        return float(self.by.get("machine_s", 0) or self.by.get("min_s", 0))

    @property
    def is_press(self) -> bool:
        return bool(self.by["kind"] == "dwell")

    @property
    def has_machine(self) -> bool:
        return bool(self.by["kind"] != "hand")

    @property
    def in_and_out(self) -> bool:
        return self.is_press or self.by.get("scans") == "in_out"


@dataclass
class Piece:
    job: str
    opened: float
    steps: list[Step]
    spoiled_at: str | None = None
    """The station."""

    @property
    def spoiled(self) -> bool:
        return self.spoiled_at is not None

    @property
    def finished(self) -> bool:
        return not self.spoiled and self.steps[-1].done is not None

    def ready(self, n: int) -> float | None:
        return self.steps[n - 1].done if n else None


@dataclass
class Gap:
    """The time between two reads of one badge, and the reads at its end."""

    since: float | None
    rows: list[Row]
    tells: list[tuple[Piece, int, bool]]
    """Piece, step, and whether it ended."""
    length_s: float = 0.0
    own_s: float = 0.0
    loading_s: float = 0.0

    @property
    def end(self) -> float:
        return seconds(self.rows[-1]["occurred_at"])

    def by_hand(self) -> list[Step]:
        return [piece.steps[n] for piece, n, ends in self.tells if ends and not piece.steps[n].has_machine]


@dataclass
class Week:
    """All figures that are worked out here, seconds and money as floats."""

    present_s: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    absorbed_s: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    forgot_sign_out: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    cost: dict[str, dict[str, float]] = field(default_factory=lambda: defaultdict(lambda: defaultdict(float)))
    """By job and element, of good pieces."""
    processing_s: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    queuing_s: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    cycle_s: list[float] = field(default_factory=list)
    cycle_working_s: list[float] = field(default_factory=list)
    finished: int = 0
    spoiled: int = 0
    open_s: float = 0.0
    """Seconds that the shop was open, from the beginning of the week until the last row."""
    passed: int = 0
    """Pieces that were good at their first inspection; so many more were not."""
    failed: int = 0
    over_time: set[str] = field(default_factory=set)
    """Pieces that a press held beyond its time."""
    wet_s: dict[float, list[float]] = field(default_factory=lambda: defaultdict(list))
    """By limit."""
    late_s: dict[str, float] = field(default_factory=dict)
    """By job: how long after it was due its last piece was finished, or, while one is open, the last row is."""


class Naive:
    """The rows of a ledger, and what they come to."""

    def __init__(self, csv_lines: list[str], shop_file: dict[str, Any]) -> None:
        self.shop = shop_file
        self.rows = list(csv.DictReader(csv_lines))
        self.pieces: dict[str, Piece] = {}
        self.due: dict[str, float] = {}
        self.now = max(seconds(row["recorded_at"]) for row in self.rows)
        self.breaks: list[tuple[float, float]] = []
        self.opening: list[tuple[float, float]] = []
        self._open_the_shop()
        self._walk()

    # The shop

    def _open_the_shop(self) -> None:
        moments = [seconds(row["occurred_at"]) for row in self.rows]
        first = datetime.fromtimestamp(min(moments), NEW_YORK_IN_WINTER)
        day = first.replace(hour=0, minute=0, second=0, microsecond=0) - timedelta(days=first.weekday())
        self.monday = day.timestamp()
        while day.timestamp() <= max(moments) + 86_400:
            spans = []
            for span in self.shop.get("hours", {}).get(DAYS[day.weekday()], []):
                opens, closes = (
                    (day + timedelta(hours=int(clock[:2]), minutes=int(clock[3:]))).timestamp()
                    for clock in span.split("-")
                )
                spans.append((opens, closes))
            self.opening += spans
            self.breaks += [(one[1], other[0]) for one, other in pairwise(spans)]
            day += timedelta(days=1)

    def day(self, at: float) -> str:
        return datetime.fromtimestamp(at, NEW_YORK_IN_WINTER).date().isoformat()

    def worked(self, start: float, end: float) -> float:
        if self.day(start) != self.day(end):
            return self.open_s(start, end)
        return max(end - start, 0.0) - sum(b - a for a, b in self.breaks if start <= a and b <= end)

    def open_s(self, start: float, end: float) -> float:
        return sum(max(min(b, end) - max(a, start), 0.0) for a, b in self.opening)

    def _route(self, row: Row, labels: list[str]) -> list[Step]:
        item = self.shop["items"][row["item"]]
        route = self.shop["routes"][item["routes"][item["shades"][row["colour"]]]]
        entries = [{"step": entry} if isinstance(entry, str) else entry for entry in route]
        places = list(dict.fromkeys(place for label in labels for place in label.split()[1:])) or [""]
        walked = [(entry, place) for place in places for entry in entries if entry["step"] != "pack"]
        walked += [(entry, "") for entry in entries if entry["step"] == "pack"]
        return [
            Step(f"{entry['step']} {place}".strip(), {**self.shop["steps"][entry["step"]], **entry})
            for entry, place in walked
        ]

    def _walk(self) -> None:
        undone = {seq for row in self.rows if row["kind"] == "undone" for seq in row["rows"].split()}
        labels = defaultdict(list)
        for row in self.rows:
            if row["kind"] in {"step done", "step started", "step assumed"}:
                labels[row["piece"]].append(row["step"])
        told: dict[str, tuple[Piece, int, bool]] = {}
        for row in self.rows:
            if row["kind"] == "job added":
                self.due[row["job"]] = seconds(row["due"])
            elif row["kind"] == "piece opened":
                steps = self._route(row, labels[row["piece"]])
                self.pieces[row["piece"]] = Piece(row["job"], seconds(row["occurred_at"]), steps)
            elif row["kind"] == "piece spoiled" and row["seq"] not in undone:
                self.pieces[row["piece"]].spoiled_at = row["station"]
            elif row["kind"] == "step assumed" and row["seq"] not in undone:
                for step in self.pieces[row["piece"]].steps:
                    step.assumed |= step.key == row["step"]
            elif row["kind"] in {"step done", "step started"} and row["seq"] not in undone:
                piece = self.pieces[row["piece"]]
                n = [step.key for step in piece.steps].index(row["step"])
                step, at = piece.steps[n], seconds(row["occurred_at"])
                if row["kind"] == "step done":
                    step.done, step.station, step.badge = at, row["station"], row["badge"]
                else:
                    step.started = at
                told[row["seq"]] = (piece, n, row["kind"] == "step done")
        self.told = {seq: it for seq, it in told.items() if self._stands(seq, it)}

    def _stands(self, seq: str, told: tuple[Piece, int, bool]) -> bool:
        piece, n, ends = told
        [row] = [row for row in self.rows[int(seq) - 1 :][:1] if row["seq"] == seq]
        return seconds(row["occurred_at"]) == (piece.steps[n].done if ends else piece.steps[n].started)

    # Hands

    def week(self) -> Week:
        week = Week()
        self._machines()
        reads = [row for row in self.rows if row["read"] and row["station"]]
        lines: dict[tuple[str, str], list[Row]] = defaultdict(list)
        for row in sorted(reads, key=lambda row: (seconds(row["occurred_at"]), int(row["seq"]))):
            badge = row["badge_name"] if row["kind"] == "signed in" else row["badge"]
            if badge:
                lines[badge, self.day(seconds(row["occurred_at"]))].append(row)
        for (badge, _), rows in lines.items():
            present_s, absorbed_s = self._line(rows)
            week.present_s[badge] += present_s
            week.absorbed_s[badge] += absorbed_s
            week.forgot_sign_out[badge] += rows[-1]["kind"] != "signed out"
        self._sum_up(week)
        self._count(week)
        return week

    def _count(self, week: Week) -> None:
        for code, piece in self.pieces.items():
            week.finished += piece.finished
            week.spoiled += piece.spoiled
            self._inspect(week, piece)
            for n, step in enumerate(piece.steps):
                if not step.is_press or step.started is None:
                    continue
                printed = piece.ready(n)
                limit_s = float(step.by.get("wait_limit_s", 0))
                if limit_s and printed is not None and (step.done is not None):
                    week.wet_s[limit_s].append(max(step.started - printed, 0.0))
                if step.done is not None and step.done - step.started - step.runs_s > float(step.by.get("over_s", 60)):
                    week.over_time.add(code)
        week.open_s = self.open_s(self.monday, self.now)
        for job, due in self.due.items():
            ends = [piece.steps[-1].done for piece in self.pieces.values() if piece.job == job and not piece.spoiled]
            last = self.now if None in ends else max(end for end in ends if end is not None)
            if last > due:
                week.late_s[job] = last - due

    def _inspect(self, week: Week, piece: Piece) -> None:
        inspections = [n for n, step in enumerate(piece.steps) if step.by["event"] == "inspected"]
        if not inspections:
            return
        n = inspections[0]
        at = next(each["name"] for each in self.shop["stations"] if piece.steps[n].key.split()[0] in each["steps"])
        if piece.steps[n].done is not None:
            week.failed += piece.spoiled_at == at
            week.passed += piece.spoiled_at != at
        elif piece.spoiled and all(step.done is not None or step.assumed for step in piece.steps[:n]):
            week.failed += 1

    def _line(self, rows: list[Row]) -> tuple[float, float]:
        gaps = self._gaps(rows)
        self._load_machines(gaps)
        seen_s = self._in_and_out(gaps)
        present_s = sum(gap.length_s if gap.since else sum(self._touches(gap)) for gap in gaps)
        stand_ins: list[Step] = []
        given_s = 0.0
        before: Gap | None = None
        for gap in gaps:
            steps = []
            for piece, n, ends in gap.tells:
                step = piece.steps[n]
                if not ends:
                    continue
                if step.has_machine:
                    stand_ins.append(step)
                elif id(step) in seen_s:
                    step.hands_s, step.hands_sure, step.since = seen_s[id(step)], True, step.started
                    given_s += seen_s[id(step)]
                else:
                    steps.append(step)
            standard_s = sum(step.touch_s for step in steps)
            own_s = gap.own_s - max(gap.loading_s - (gap.length_s - gap.own_s), 0.0)
            typed = any(self._typed(row) for row in [*gap.rows, *(before.rows if before else [])])
            unsure = gap.since is None or typed or not 0.2 * standard_s <= own_s <= 2 * standard_s
            for step in steps:
                step.since = self._workable(gap)
                if unsure:
                    stand_ins.append(step)
                else:
                    step.hands_s, step.hands_sure, step.shared = own_s * step.touch_s / standard_s, True, len(steps) > 1
                    given_s += step.hands_s
            before = gap
        need_s = sum(step.touch_s for step in stand_ins)
        part = min(1.0, max(present_s - given_s, 0.0) / need_s) if need_s else 1.0
        for step in stand_ins:
            step.hands_s = step.touch_s * part
        return present_s, given_s + need_s * part

    @staticmethod
    def _typed(row: Row) -> bool:
        by_hand = row["device"] in {"by hand", "backfill"}
        return by_hand and seconds(row["recorded_at"]) - seconds(row["occurred_at"]) > 60

    @staticmethod
    def _touches(gap: Gap) -> list[float]:
        return [piece.steps[n].touch_s for piece, n, ends in gap.tells if ends]

    def _gaps(self, rows: list[Row]) -> list[Gap]:
        groups: list[list[Row]] = []
        for row in rows:
            if groups and self._beside(groups[-1][-1], row):
                groups[-1].append(row)
            else:
                groups.append([row])
        gaps: list[Gap] = []
        since: float | None = None
        for group in groups:
            gap = Gap(since, group, [self.told[row["seq"]] for row in group if row["seq"] in self.told])
            if since is not None:
                gap.length_s = self.worked(since, gap.end)
                gap.own_s = self.worked(self._workable(gap) or since, gap.end)
            gaps.append(gap)
            since = None if group[-1]["kind"] == "signed out" else gap.end
        return gaps

    def _workable(self, gap: Gap) -> float | None:
        ready = []
        for row in gap.rows:
            if row["seq"] in self.told:
                piece, n, _ = self.told[row["seq"]]
                done = piece.ready(n)
                if done is not None and done <= seconds(row["occurred_at"]):
                    ready.append(done)
        known = [at for at in (gap.since, min(ready) if ready else None) if at is not None]
        return max(known) if known else None

    def _beside(self, one: Row, other: Row) -> bool:
        steps = []
        for row in (one, other):
            if row["seq"] not in self.told:
                return False
            piece, n, ends = self.told[row["seq"]]
            steps.append(piece.steps[n])
            if not ends or steps[-1].has_machine or steps[-1].in_and_out:
                return False
        apart_s = seconds(other["occurred_at"]) - seconds(one["occurred_at"])
        alike = one["station"] == other["station"] and steps[0].key.split()[0] == steps[1].key.split()[0]
        return alike and apart_s <= min(10.0, 0.2 * steps[1].touch_s)

    def _load_machines(self, gaps: list[Gap]) -> None:
        loads = []
        for gap in gaps:
            for row in gap.rows:
                if row["seq"] in self.told:
                    piece, n, _ = self.told[row["seq"]]
                    step, at = piece.steps[n], seconds(row["occurred_at"])
                    if step.has_machine and not step.in_and_out:
                        free = self._free(row)
                        earliest = at - step.runs_s - step.touch_s if free is None else free
                        loads.append((at - 0.8 * step.runs_s, earliest, 2 / 3 * step.touch_s))
        for latest, earliest, load_s in sorted(loads, key=lambda load: load[0]):
            able = [gap for gap in gaps if gap.since is not None and gap.end > earliest and gap.since < latest]
            chosen = next((gap for gap in able if self._room(gap) >= load_s), None)
            if chosen is None and able:
                chosen = max(able, key=self._room)
            if chosen is not None:
                chosen.loading_s += load_s

    @staticmethod
    def _room(gap: Gap) -> float:
        closing_s = sum(p.steps[n].touch_s for p, n, ends in gap.tells if p.steps[n].has_machine and not ends)
        return gap.length_s - 0.6 * sum(step.touch_s for step in gap.by_hand()) - 2 / 3 * closing_s - gap.loading_s

    def _in_and_out(self, gaps: list[Gap]) -> dict[int, float]:
        """What steps by hand that were scanned in got until they were scanned out."""
        lying: dict[int, tuple[Step, float]] = {}
        seen_s: dict[int, float] = {}
        for gap in gaps:
            if lying and gap.since is not None:
                others = sum(step.touch_s or 1.0 for step in gap.by_hand() if id(step) not in lying)
                whole = others + sum(step.touch_s or 1.0 for step, _ in lying.values())
                lying = {
                    key: (step, got_s + gap.length_s * (step.touch_s or 1.0) / whole)
                    for key, (step, got_s) in lying.items()
                }
                gap.own_s *= others / whole
            for piece, n, ends in gap.tells:
                step = piece.steps[n]
                if ends and id(step) in lying:
                    seen_s[id(step)] = lying.pop(id(step))[1]
                elif not ends and not step.has_machine and not piece.spoiled:
                    lying[id(step)] = (step, 0.0)
        return seen_s

    # Machines

    def _free(self, row: Row) -> float | None:
        piece, n, _ = self.told[row["seq"]]
        at, ready = seconds(row["occurred_at"]), piece.ready(n)
        before = [
            seconds(other["occurred_at"])
            for other in self.rows
            if other["station"] == row["station"] and other["seq"] in self.told and self._took_out(other)
            if (seconds(other["occurred_at"]), int(other["seq"])) < (at, int(row["seq"]))
        ]
        known = [*before[-1:], *([ready] if ready is not None and ready <= at else [])]
        return max(known) if known else None

    def _took_out(self, row: Row) -> bool:
        piece, n, ends = self.told[row["seq"]]
        return ends and piece.steps[n].has_machine and not piece.steps[n].in_and_out

    def _machines(self) -> None:
        for row in self.rows:
            if row["seq"] not in self.told:
                continue
            piece, n, ends = self.told[row["seq"]]
            step = piece.steps[n]
            if ends and step.has_machine and not step.in_and_out:
                self._ran(row, step)
            elif ends and step.started is not None and step.done is not None and step.has_machine:
                self._stayed(step, step.started, step.done)

    def _stayed(self, step: Step, started: float, done: float) -> None:
        """A press counts until it is opened, a printer until it is emptied; neither beyond three standards."""
        stayed_s = self.worked(started, done) - (0.0 if step.is_press else step.touch_s / 3)
        most_s = 3 * step.runs_s if step.is_press else 1.25 * step.runs_s
        step.machine_sure = done - started <= 3 * step.runs_s and stayed_s <= most_s
        step.machine_s = stayed_s if step.machine_sure else step.runs_s

    def _ran(self, row: Row, step: Step) -> None:
        since = self._free(row)
        ran_s = None if since is None else max(self.worked(since, seconds(row["occurred_at"])) - step.touch_s, 0.0)
        step.machine_sure = ran_s is not None and ran_s <= 1.25 * step.runs_s and not self._typed(row)
        step.machine_s = ran_s if step.machine_sure else step.runs_s
        step.since = since

    # Figures

    def _began(self, piece: Piece, n: int) -> float | None:
        step, ready = piece.steps[n], piece.ready(n) if n else piece.opened
        if step.in_and_out or step.done is None:
            return step.started
        sure = step.machine_sure if step.has_machine else step.hands_sure
        if sure and not step.shared and step.since is not None:
            return step.since
        took_s = (step.hands_s or 0.0) if sure else step.touch_s + step.runs_s
        known = [at for at in (step.since, ready) if at is not None]
        began = step.done - took_s
        return min(max(began, *known), step.done) if known else began

    def _rates(self, step: Step) -> tuple[float, float]:
        rates = {badge["name"]: badge.get("per_hour") for badge in self.shop.get("badges", [])}
        machines = {each["name"]: each.get("machine_per_hour", "0") for each in self.shop["stations"]}
        hands = rates.get(step.badge) or self.shop["prices"]["labour_per_hour"]
        first = next(each["name"] for each in self.shop["stations"] if step.key.split()[0] in each["steps"])
        return float(hands), float(machines[step.station or first])

    def _sum_up(self, week: Week) -> None:
        overhead = float(self.shop["prices"]["overhead_per_labour_hour"])
        for piece in self.pieces.values():
            for n, step in enumerate(piece.steps):
                began, ready = self._began(piece, n), piece.ready(n) if n else piece.opened
                hands_s = step.touch_s if step.hands_s is None else step.hands_s
                if piece.finished:
                    hands_rate, machine_rate = self._rates(step)
                    machine_s = (step.runs_s if step.machine_s is None else step.machine_s) if step.has_machine else 0.0
                    week.cost[piece.job]["labour"] += hands_s / 3600 * hands_rate
                    week.cost[piece.job]["overhead"] += hands_s / 3600 * overhead
                    week.cost[piece.job]["machine"] += machine_s / 3600 * machine_rate
                if step.done is not None and began is not None:
                    week.processing_s[step.key.split()[0]].append(max(step.done - began, 0.0))
                    if ready is not None:
                        week.queuing_s[step.key.split()[0]].append(max(began - ready, 0.0))
            self._cycle(week, piece)

    def _cycle(self, week: Week, piece: Piece) -> None:
        starts = [began for n in range(len(piece.steps)) if (began := self._began(piece, n)) is not None]
        done = piece.steps[-1].done
        if piece.finished and piece.steps[0].done is not None and done is not None and starts:
            week.cycle_s.append(done - starts[0])
            week.cycle_working_s.append(self.open_s(starts[0], done))


def summary(values: list[float]) -> tuple[int, float, float]:
    """How many, their median, their mean."""
    return len(values), median(values), mean(values)
