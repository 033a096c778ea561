"""When a station was down: what its command cards said, in whatever order that arrived.

Never knows the time: a station that is down stays so until it is said to be up.
"""

from bisect import bisect_right, insort
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from operator import itemgetter

NEVER = datetime.max.replace(tzinfo=UTC)


@dataclass(slots=True)
class Outages:
    """What was said of one station, by when it was; of two things said at one moment the last to arrive holds."""

    said: list[tuple[datetime, int, bool]] = field(default_factory=list)
    """The moment, the row that says so, and whether the station was down from then on."""

    def say(self, at: datetime, seq: int, *, down: bool) -> None:
        """It was down, or up again, from a moment on."""
        insort(self.said, (at, seq, down))

    def down_at(self, moment: datetime) -> datetime | None:
        """Since when it was down at a moment; None where it was up."""
        return self._since(bisect_right(self.said, moment, key=itemgetter(0)))

    @property
    def down_since(self) -> datetime | None:
        """Since when it has been down; None where it is up."""
        return self._since(len(self.said))

    def _since(self, known: int) -> datetime | None:
        """The first time in a row that it was said to be down: saying so again changes nothing."""
        since = None
        for at, _, down in reversed(self.said[:known]):
            if not down:
                break
            since = at
        return since

    def last_said(self, moment: datetime) -> tuple[datetime, bool] | None:
        """What was said of it last, up to a moment: when, and whether it was down from then on.

        That it is up while it was so already says nothing.
        """
        known = self.said[: bisect_right(self.said, moment, key=itemgetter(0))]
        before = [False, *(down for _, _, down in known)]
        news = [(at, down) for (at, _, down), was_down in zip(known, before, strict=False) if down or was_down]
        return news[-1] if news else None

    def up_between(self, start: datetime, end: datetime) -> bool:
        """Whether it was said to be up after a moment and up to another."""
        return any(start < at <= end and not down for at, _, down in self.said)

    def down_between(self, start: datetime, end: datetime) -> bool:
        """Whether it was down at any moment between two."""
        return any(down < end and up > start for down, up in self.spans(end))

    def next_down(self, moment: datetime) -> datetime | None:
        """When it went down first after a moment at which it was up; None where it has not."""
        return next((down for down, _ in self.spans(NEVER) if down > moment), None)

    def spans(self, until: datetime) -> Iterator[tuple[datetime, datetime]]:
        """From when to when it was down; what has not ended ends at `until`."""
        since: datetime | None = None
        for at, _, down in self.said:
            if since is not None and not down and since < at:
                yield since, at
            since = (since or at) if down else None
        if since is not None and since < until:
            yield since, until
