"""The weeks that are over and reported, and which of them late reads have changed since.

Never computes a report.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from shared.hours import Hours

RESOLUTION = timedelta(microseconds=1)
LONG_AGO = datetime.min.replace(tzinfo=UTC)


@dataclass(slots=True)
class ClosedWeek:
    """A week whose report was written: the revision that was written last, and whether something came late since."""

    end: datetime
    revision: int
    digest: str
    late: bool = False


@dataclass(slots=True)
class ClosedWeeks:
    """Every week that was reported, by its name, such as "2026-W48"."""

    weeks: dict[str, ClosedWeek] = field(default_factory=dict)
    until: datetime = LONG_AGO
    """What occurs from then on changes no report that was written."""

    def close(self, name: str, week: ClosedWeek) -> None:
        """A report was written."""
        self.weeks[name] = week
        self.until = max(self.until, week.end)

    def touch(self, moment: datetime) -> None:
        """Something became known that occurred at a moment: reports of that week, and of those after it, may change."""
        if moment < self.until:
            for week in self.weeks.values():
                week.late = week.late or moment < week.end

    def due(self, hours: Hours, began: datetime, now: datetime) -> list[str]:
        """The weeks that are over and not reported, or no longer as they were, the earliest first.

        After a downtime all that were missed; in a shop that never had a report only the last one. After the shop's
        zone was changed all that ended by another one: what happened about their ends belongs to other weeks now.
        """
        return [name for name in self._over(hours, began, now) if not self._stands(name, hours)]

    def _stands(self, name: str, hours: Hours) -> bool:
        week = self.weeks.get(name)
        return week is not None and not week.late and week.end == hours.week_bounds(name)[1]

    def _over(self, hours: Hours, began: datetime, now: datetime) -> Iterator[str]:
        running = hours.week_of(now)
        start, _ = hours.week_bounds(running)
        last = hours.week_of(start - RESOLUTION)
        name = min(self.weeks, default=max(last, hours.week_of(began)))
        while name < running:
            yield name
            _, end = hours.week_bounds(name)
            name = hours.week_of(end)
