"""Signs: the shape and the word that go with every state on a wall, and how pressing it is.

Never a colour: how a tone looks is for whatever draws it, and it must be told apart without.
"""

from datetime import timedelta
from typing import Literal

from msgspec import Struct

from floor.core.plan.board import AlarmLine, BoardJob
from floor.core.plan.presses import InPress
from floor.core.plan.wet import Wet

Tone = Literal["urgent", "soon", "fine", "calm"]
"""urgent: something is going wrong; soon: hands are needed now; fine: it runs as it should; calm: nothing to do."""
SHAPES: dict[Tone, str] = {"urgent": "▲", "soon": "◆", "fine": "●", "calm": "○"}


class Sign(Struct, frozen=True):
    """A state: its word, and how pressing it is. Every tone has a shape of its own."""

    word: str
    tone: Tone
    own_shape: str | None = None
    """For what must not be taken for another state of its tone."""

    @property
    def shape(self) -> str:
        """Its own shape, or that of its tone."""
        return self.own_shape or SHAPES[self.tone]

    def __str__(self) -> str:
        return f"{self.shape} {self.word}"


FREE = Sign("FREE", "calm")
DOWN = Sign("DOWN", "soon")
CLOSED = Sign("CLOSED", "fine")
OPEN_NOW = Sign("OPEN NOW", "soon")
OVER_TIME = Sign("OVER TIME", "urgent")
TAKE_OUT = Sign("TAKE OUT", "soon")
OPENED_EARLY = Sign("TOO EARLY", "urgent")
WET = Sign("WET", "fine")
HURRY = Sign("HURRY", "soon")
TOO_LONG = Sign("TOO LONG", "urgent")
ON_TIME = Sign("ON TIME", "fine")
HELD = Sign("HELD", "calm")
STUCK = Sign("STUCK", "urgent")
LATE = Sign("LATE", "urgent")
UNCLEAR = Sign("UNCLEAR", "soon")

ALARMS = {
    "opened too early": OPENED_EARLY,
    "press over time": OVER_TIME,
    "wet too long": Sign("WET TOO LONG", "urgent"),
    "press open now": OPEN_NOW,
    "job late": Sign("JOB LATE", "urgent"),
    "station down": Sign("STATION DOWN", "soon"),
    "scanner absent": Sign("NO SCANNER", "soon"),
    "care due": Sign("CARE DUE", "soon"),
}
"""By kind, the most pressing first: what spoils a piece within minutes stands before what can wait."""
HURRY_FROM = 0.75
"""The share of its wet limit from which a piece is shown as pressing."""


def alarm_sign(alarm: AlarmLine) -> Sign:
    """The sign of an alarm; a kind that is not known here says its own name, and is urgent."""
    return ALARMS.get(alarm.kind) or Sign(alarm.kind.upper(), "urgent")


def alarm_rank(alarm: AlarmLine) -> int:
    """Smaller is more pressing. What is not known comes first: nobody can tell how grave it is."""
    kinds = list(ALARMS)
    return kinds.index(alarm.kind) if alarm.kind in ALARMS else -1


def press_sign(press: InPress, *, opened_early: bool) -> Sign:
    """The state of a press, or of one piece in it."""
    if press.piece is None or press.seconds_left is None:
        return DOWN if press.down_since else FREE
    if press.take_out:
        return TAKE_OUT
    if press.seconds_left > 0:
        return OPENED_EARLY if opened_early else CLOSED
    return OPEN_NOW if -press.seconds_left < press.over_s else OVER_TIME


def wet_sign(wet: Wet) -> Sign:
    """The state of a wet piece: pressing from three quarters of its limit on, or if no press will take it in time."""
    if wet.limit_s is None:
        return WET
    if wet.wet_s >= wet.limit_s:
        return TOO_LONG
    deadline = wet.since + timedelta(seconds=wet.limit_s)
    in_time = wet.expected_in is not None and wet.expected_in <= deadline
    return WET if in_time and wet.wet_s < HURRY_FROM * wet.limit_s else HURRY


def job_rank(job: BoardJob) -> bool:
    """Sorts jobs, which are in the order of their due times, so that those come first that need somebody."""
    return job_sign(job).tone != "urgent"


def job_sign(job: BoardJob) -> Sign:
    """Whether a job will be ready when it was promised. Late stands before held: the customer waits either way.

    Stuck is one that nobody can expect to be finished, for no station of a step before it works.
    """
    if job.late:
        return LATE
    if job.held:
        return HELD
    return STUCK if job.expected_finish is None else ON_TIME
