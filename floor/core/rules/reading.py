"""One read in its place: the floor, the shop, the station, the hands; and how a decision about it is put.

Never decides.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from msgspec import Struct

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from floor.core.state.station import Station
from shared.events.base import Event
from shared.events.reads import Read, ReadRefused
from shared.events.recorded import Fact
from shared.files.shop import Shop
from shared.route import Step
from shared.scan import Answer, Reason, Scan
from shared.wording import full_moment

TEXT_MAX = 80
"""What is kept of a text that was read; our longest code has 24 characters, noise may have any number."""


class Decision(Struct, frozen=True):
    """What a read led to: facts to be recorded (none for a repeated read), and the answer to the operator."""

    facts: tuple[Fact, ...]
    answer: Answer


@dataclass(frozen=True, slots=True)
class Reading:
    """A read, with all that the rules may look at."""

    floor: Floor
    shop: Shop
    scan: Scan

    @property
    def station(self) -> str | None:
        """Where the scanner stands, or the station whose card a roaming scanner read last."""
        return self.scan.station or self.floor.roaming.get(self.scan.device)

    @property
    def memory(self) -> Station:
        """What the station remembers; nothing where there is no station, or nothing has happened at it."""
        return self.floor.stations.get(self.station or "") or Station()

    @property
    def badge(self) -> str | None:
        """Whose hands: the scan says, or who had signed in here that day."""
        if self.scan.badge is not None or (hands := self.memory.hands_at(self.scan.at)) is None:
            return self.scan.badge
        badge, since = hands
        day_of = self.shop.hours.day_of
        return badge if day_of(since) == day_of(self.scan.at) else None

    def down(self, station: str | None) -> bool:
        """Whether a station took no work at the moment of the read."""
        known = self.floor.stations.get(station or "")
        return known is not None and known.outages.down_at(self.scan.at) is not None

    def inside(self) -> Iterator[tuple[Piece, datetime]]:
        """The pieces in the station, each with when it went in; that may be after a read that comes late.

        One that was spoiled or given up in a press is in there too, until it is opened.
        """
        for piece in self.floor.present():
            closed = piece.closed
            if closed and piece.walk[piece.position].station == self.station:
                yield piece, closed

    def within(self, seconds: float, moment: datetime) -> bool:
        """Whether a moment was no longer than that before this read; one after it, when the read came late, is not."""
        return timedelta(0) <= self.scan.at - moment <= timedelta(seconds=seconds)

    def say(self, text: str, **values: object) -> str:
        """A sentence of ours in the shop's language, each {name} in it filled in."""
        return self.shop.words.say(text, **values)

    def named(self, piece: Piece) -> str:
        """A piece by its code, and what it is: nobody knows a shirt in a pile by its code."""
        line = self.floor.line_of(piece)
        return self.say(
            "{piece} ({item}, {colour}, {size}, number {number} of {count})",
            piece=piece.code,
            item=line.item,
            colour=line.colour,
            size=piece.size,
            number=piece.number,
            count=line.quantity,
        )

    def shown(self, moment: datetime) -> str:
        """A moment as people in the shop write it."""
        return full_moment(moment, self.shop.hours.zone, self.shop.words.language)

    def read(self, answer: Answer) -> Read:
        """What was read, and what is said to it, to be kept with the fact."""
        return Read(text=self.scan.text[:TEXT_MAX], answer=answer)

    def fact(self, event: Event, *, follows: bool = False) -> Fact:
        """An event of this read; one that only follows from it, such as a remake, does not bear its id."""
        return Fact(
            event=event,
            occurred_at=self.scan.at,
            station=self.station,
            badge=self.badge,
            device=self.scan.device,
            read_id=None if follows else self.scan.read_id,
        )

    def refused(
        self,
        reason: Reason,
        say: str,
        piece: Piece | None = None,
        *,
        step: Step | None = None,
        seconds_left: float | None = None,
    ) -> Decision:
        """A read that leads to nothing but this answer; it is recorded all the same."""
        upcoming = piece.step if piece and piece.state == "open" else None
        answer = Answer(
            outcome="refused",
            reason=reason,
            say=say,
            piece=piece.code if piece else None,
            step=step.label if step else None,
            next=upcoming.label if upcoming else None,
            seconds_left=seconds_left,
        )
        known = self.station if self.station in self.shop.stations else None
        event = ReadRefused(read=self.read(answer), piece=piece.code if piece else None, at_station=known)
        return Decision((self.fact(event),), answer)

    def held(self, piece: Piece) -> Decision:
        """Refused: its job is on hold."""
        why = self.floor.jobs[piece.job].why
        if why:
            say = self.say("Job {job} is on hold: {why}. Put the piece aside.", job=piece.job, why=why)
        else:
            say = self.say("Job {job} is on hold. Put the piece aside.", job=piece.job)
        return self.refused("held", say, piece)

    def given_up(self, piece: Piece) -> Decision:
        """Refused: the piece was given up with its job, or as the remake of a piece that is not spoiled after all."""
        job = self.floor.jobs[piece.job]
        if job.cancelled and job.why:
            say = self.say("This piece was given up with job {job}: {why}.", job=piece.job, why=job.why)
        elif job.cancelled:
            say = self.say("This piece was given up with job {job}.", job=piece.job)
        else:
            say = self.say("Destroy this ticket: {piece} was not spoiled after all.", piece=piece.remake_of)
        return self.refused("cancelled", say, piece)
