"""A piece and its walk: all that happened to one physical item.

Never decides. It is changed by floor.core.folds alone.
"""

from bisect import insort
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from operator import attrgetter
from typing import Literal

from shared.events.reads import StepAssumed, StepDone, StepInterrupted, StepStarted
from shared.events.recorded import Recorded
from shared.route import Route, Step

PieceState = Literal["open", "finished", "spoiled", "cancelled"]
LONG_BEFORE = timedelta(days=1)
"""Ink that was printed so long before its ticket was made is dry."""


StepFact = StepStarted | StepInterrupted | StepDone | StepAssumed


@dataclass(slots=True)
class Walked:
    """What is known of one step of one piece. Moments are UTC; None is not yet, or not known."""

    started: datetime | None = None
    done: datetime | None = None
    passed: datetime | None = None
    """When a later read showed that the step must have been done."""
    station: str | None = None
    badge: str | None = None

    @property
    def assumed(self) -> bool:
        """Whether the step is taken as done although nobody saw it."""
        return self.done is None and self.passed is not None

    @property
    def over_at(self) -> datetime | None:
        """When it was done, or taken as done because a later step was."""
        return self.done or self.passed

    @property
    def over(self) -> bool:
        """Whether the step is behind the piece, seen or assumed."""
        return self.done is not None or self.passed is not None


@dataclass(frozen=True, slots=True)
class Spoiled:
    """When, why and where a piece was spoiled, and the row that says so."""

    at: datetime
    reason: str
    station: str | None
    seq: int


@dataclass(slots=True)
class Piece:
    """One physical item of a line, and all that happened to it."""

    code: str
    job: str
    line: int
    number: int
    size: str
    route: Route
    opened: datetime
    remake_of: str | None = None
    facts: list[Recorded] = field(default_factory=list)
    """Its station events, by when they occurred; two at one moment by when they arrived."""
    walk: list[Walked] = field(default_factory=list)
    position: int = 0
    """The index of the step that it is in or waits for; the length of the route when all are done."""
    spoiled: Spoiled | None = None
    remake: str | None = None
    cancelled: datetime | None = None
    """When it was given up."""
    early: list[datetime] = field(default_factory=list)
    """When it was scanned out of a press that had to stay closed, in the order of the moments."""
    contradictions: list[Recorded] = field(default_factory=list)
    taken_out: int | None = None
    """The row that says that it was taken out of the press in which it was spoiled or given up."""

    def __post_init__(self) -> None:
        self.walk = [Walked() for _ in self.route]

    @property
    def state(self) -> PieceState:
        """Spoiled before anything else; finished when its last step is done, though its job was given up later."""
        if self.spoiled:
            return "spoiled"
        if self.finished:
            return "finished"
        return "cancelled" if self.cancelled else "open"

    @property
    def finished(self) -> datetime | None:
        """When its last step was done."""
        return self.walk[-1].done if self.walk else None

    @property
    def step(self) -> Step | None:
        """The step that it is in or waits for."""
        return self.route[self.position] if self.position < len(self.route) else None

    @property
    def in_work(self) -> bool:
        """Whether it is inside a step that was started and is not done, such as a closed press."""
        return self.closed is not None

    @property
    def closed(self) -> datetime | None:
        """Since when it is inside a step that is not done; None where it is in none."""
        return self.walk[self.position].started if self.position < len(self.walk) else None

    @property
    def press(self) -> str | None:
        """The press in which it is; None where it is in none."""
        step = self.step
        return self.walk[self.position].station if step and step.is_press and self.in_work else None

    def comes_out(self, station: str | None, at: datetime) -> bool:
        """Whether a read of it is one at its press after its time there, so that it is in somebody's hands."""
        step, closed = self.step, self.closed
        return bool(step and closed and station == self.press and at >= closed + timedelta(seconds=step.min_s))

    @property
    def given_up(self) -> datetime | None:
        """When it was spoiled, or given up before it was finished."""
        if self.spoiled:
            return self.spoiled.at
        return self.cancelled if self.cancelled and not self.finished else None

    @property
    def wet(self) -> bool:
        """Whether it lies wet: it has been worked on, and waits for a press."""
        step = self.step
        return step is not None and step.is_press and self.position > 0 and not self.in_work

    @property
    def latest(self) -> datetime:
        """The latest moment that is known of it."""
        return self.facts[-1].occurred_at if self.facts else self.opened

    @property
    def opened_early(self) -> datetime | None:
        """When it was last scanned out of a press that had to stay closed."""
        return self.early[-1] if self.early else None

    @property
    def drawn(self) -> datetime | None:
        """When its blank was taken from the shelf: for its first step, or spoiled before that."""
        first = self.facts[0].occurred_at if self.facts else None
        return first or (self.spoiled.at if self.spoiled else None)

    @property
    def ended(self) -> datetime | None:
        """When it was spoiled or finished."""
        return self.spoiled.at if self.spoiled else self.finished

    def waiting_since(self) -> datetime:
        """Since when it waits for, or is in, its step: the step before was done, or it was opened.

        What was told for a moment long before its ticket was made was mistyped, or is of another time: a fact, but
        nothing that lies there wet for days.
        """
        for walked in reversed(self.walk[: self.position]):
            if walked.done is not None:
                return walked.done if walked.done > self.opened - LONG_BEFORE else self.opened
        return self.opened

    def take(self, row: Recorded) -> None:
        """A fact finds its place by when it occurred; the walk is told again if it came late."""
        if self.facts and row.occurred_at < self.facts[-1].occurred_at:
            insort(self.facts, row, key=attrgetter("occurred_at", "seq"))
            self._walk_again()
        else:
            self.facts.append(row)
            self._walk(row)

    def drop(self, rows: Iterable[int]) -> None:
        """Facts that were corrected no longer count."""
        gone = set(rows)
        self.facts = [fact for fact in self.facts if fact.seq not in gone]
        self._walk_again()

    def _walk_again(self) -> None:
        self.walk = [Walked() for _ in self.route]
        self.position = 0
        for row in self.facts:
            self._walk(row)

    def _walk(self, row: Recorded) -> None:
        event: StepFact = row.event  # type: ignore[assignment]  # only step facts are taken
        walked = self.walk[event.step]
        if type(event) is StepInterrupted:
            walked.started = walked.station = walked.badge = None
            return
        if type(event) is StepAssumed:
            walked.passed = row.occurred_at
        else:
            walked.station, walked.badge = row.station, row.badge
            if type(event) is StepStarted:
                walked.started = row.occurred_at
                return
            walked.done = row.occurred_at
        self.position = max(self.position, event.step + 1)
