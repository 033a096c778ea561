"""The state of the floor: jobs, pieces and their walks, stations, alarms.

Never decides and never knows the time. It is changed by floor.core.folds.fold alone.
"""

from bisect import bisect_left, bisect_right, insort
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from operator import attrgetter, itemgetter
from typing import Literal, NamedTuple

from floor.core.state.closed_weeks import ClosedWeeks
from floor.core.state.outages import Outages
from floor.core.state.price_book import PriceBook
from floor.core.state.supplies import Supplies
from shared.events.floor import AlarmKind
from shared.events.jobs import Line
from shared.events.reads import Read, StepAssumed, StepDone, StepInterrupted, StepStarted
from shared.events.recorded import Recorded
from shared.route import Route, Step

PieceState = Literal["open", "finished", "spoiled", "cancelled"]
StepFact = StepStarted | StepInterrupted | StepDone | StepAssumed

UNDOABLE_MAX = 100
"""More reads than a station does in the two minutes of the undo card; of more, the oldest stand."""


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
        return self.position < len(self.route) and self.walk[self.position].started is not None

    @property
    def closed(self) -> datetime | None:
        """Since when it is inside a step that is not done; None where it is in none."""
        return self.walk[self.position].started if self.in_work else None

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
        return self.spoiled.at if self.spoiled else None if self.finished else self.cancelled

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
        """Since when it waits for, or is in, its step: the step before was done, or it was opened."""
        for walked in reversed(self.walk[: self.position]):
            if walked.done is not None:
                return walked.done
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


@dataclass(slots=True)
class Job:
    """What a customer ordered, and how far it is."""

    code: str
    customer: str
    due: datetime
    currency: str
    lines: tuple[Line, ...]
    added: datetime
    pieces: list[Piece] = field(default_factory=list)
    held_since: datetime | None = None
    held_why: str = ""
    was_held: bool = False
    """Whether it was ever on hold, so that it could not be finished when it might have been."""
    cancelled: datetime | None = None
    """When it was given up."""
    cancelled_why: str = ""
    foretold: tuple[datetime, datetime] | None = None
    """When a forecast of it was made, and when it was expected to be finished."""

    @property
    def held(self) -> bool:
        """Whether work on it is stopped for now."""
        return self.held_since is not None

    @property
    def why(self) -> str:
        """The word that was said when it was given up, or put on hold; nothing of one that goes on."""
        return self.cancelled_why if self.cancelled else self.held_why if self.held else ""

    def line(self, number: int) -> Line:
        """A line by its number, from 1."""
        return self.lines[number - 1]

    @property
    def wanted(self) -> int:
        """Good pieces that the customer ordered."""
        return sum(line.quantity for line in self.lines)

    @property
    def finished(self) -> bool:
        """Whether nothing of it is open."""
        return not any(piece.state == "open" for piece in self.pieces)


class Undoable(NamedTuple):
    """A read that did something to a piece, and can be taken back for a while."""

    piece: str
    at: datetime
    told: datetime
    """When it was recorded: long after it occurred, where a person wrote its moment down."""
    seq: int


class LastRead(NamedTuple):
    """The read that a station recorded last."""

    read: Read
    at: datetime
    badge: str | None


@dataclass(slots=True)
class Station:
    """What a station remembers between two reads."""

    signings: list[tuple[datetime, int, str | None]] = field(default_factory=list)
    """Who signed in here, None for a sign-out: by when it was, two at one moment by when they arrived."""
    reason: tuple[str, datetime] | None = None
    """A reason card that waits for its piece."""
    last_piece: tuple[str, datetime] | None = None
    """The piece that was read last, whatever became of it: a reason card may follow."""
    last_read: LastRead | None = None
    """The last read that was recorded here, for the repeat window."""
    undoable: deque[Undoable] = field(default_factory=lambda: deque(maxlen=UNDOABLE_MAX))
    """The reads here that did something and were not taken back, as they arrived."""
    opened: datetime | None = None
    """When a piece was last scanned into it, or out of it, where it is a press."""
    touched: dict[str, list[datetime]] = field(default_factory=dict)
    """By badge ("" is nobody's): when a read here did something, in the order of the moments."""

    outages: Outages = field(default_factory=Outages)

    @property
    def down_since(self) -> datetime | None:
        """Since when it takes no work; None while it does."""
        return self.outages.down_since

    def hands_at(self, moment: datetime) -> tuple[str, datetime] | None:
        """Who was signed in at a moment, and since when; None where nobody was."""
        index = bisect_right(self.signings, moment, key=itemgetter(0))
        since, _, badge = self.signings[index - 1] if index else (moment, 0, None)
        return (badge, since) if badge else None


@dataclass(slots=True)
class Alarm:
    """Something that needs a person, raised and not yet cleared."""

    kind: AlarmKind
    subject: str
    since: datetime
    say: str
    station: str | None = None


@dataclass(slots=True)
class Floor:
    """The whole floor, up to and with row `seq`."""

    seq: int = 0
    began: datetime | None = None
    """When the first row occurred."""
    jobs: dict[str, Job] = field(default_factory=dict)
    pieces: dict[str, Piece] = field(default_factory=dict)
    open: dict[str, Piece] = field(default_factory=dict)
    """The pieces that are neither finished nor spoiled nor cancelled, so that no one need look at all the others."""
    lying: dict[str, Piece] = field(default_factory=dict)
    """The pieces that were spoiled or given up in a closed press, and lie in it still."""
    ended: list[tuple[datetime, str]] = field(default_factory=list)
    """When pieces were finished or spoiled, in order; what was taken back since is still in it: see `ended_between`."""
    opened: int = 0
    """Pieces opened ever: the next one's serial number is one more."""
    stations: dict[str, Station] = field(default_factory=dict)
    roaming: dict[str, str] = field(default_factory=dict)
    """By scanner: the station whose card it read last."""
    alarms: dict[tuple[AlarmKind, str], Alarm] = field(default_factory=dict)
    cared: dict[str, datetime] = field(default_factory=dict)
    """By care task: when it was done last."""
    lost: dict[str, tuple[datetime, str]] = field(default_factory=dict)
    """By scanner that is absent: since when, and why."""
    worked: dict[str, str] = field(default_factory=dict)
    """By task of the floor itself: the latest day or week for which it was done."""
    closed_weeks: ClosedWeeks = field(default_factory=ClosedWeeks)
    supplies: Supplies = field(default_factory=Supplies)
    prices: PriceBook = field(default_factory=PriceBook)
    contradicted: list[Recorded] = field(default_factory=list)
    """Reads that contradict what is recorded of their piece, as they arrived."""

    def station(self, name: str) -> Station:
        """What a station remembers; a station that nothing has happened at remembers nothing."""
        found = self.stations.get(name)
        if found is None:
            found = self.stations[name] = Station()
        return found

    def down_since(self, station: str) -> datetime | None:
        """Since when a station takes no work; None while it does."""
        known = self.stations.get(station)
        return known.down_since if known else None

    def line_of(self, piece: Piece) -> Line:
        """The line of its job that a piece belongs to."""
        return self.jobs[piece.job].line(piece.line)

    def ended_between(self, start: datetime, end: datetime) -> list[Piece]:
        """The pieces that were finished or spoiled from a moment on and before another, in that order."""
        first, last = (bisect_left(self.ended, (moment, "")) for moment in (start, end))
        codes = dict.fromkeys(code for moment, code in self.ended[first:last] if self.pieces[code].ended == moment)
        return [self.pieces[code] for code in codes]
