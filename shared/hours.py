"""Opening hours, and working time between two moments, exact through every change of the zone's offset.

Never asks what time it is: every moment is an argument.
"""

import re
from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from functools import cached_property, lru_cache
from itertools import pairwise, takewhile
from typing import Any
from zoneinfo import ZoneInfo

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
CACHED_DAYS_MAX = 2_000
"""Days whose moments are kept ready; beyond that the one unused for longest is worked out again when needed."""

ONE_DAY = timedelta(days=1)
NO_TIME = timedelta(0)

Opening = tuple[timedelta, timedelta]
"""From when to when, since midnight by the clock on the wall; 22:00-02:00 is 22 h and 26 h."""
Span = tuple[datetime, datetime]
"""Two moments, UTC: the first belongs to the span, the second no longer does."""


@dataclass(frozen=True)
class Hours:
    """When a shop works: the openings of each weekday from Monday on, the dates it is closed, its zone.

    An opening that lasts beyond midnight belongs to the day on which it begins. Moments that are handed in need
    a time zone (else ValueError); those given back are UTC. OverflowError at the ends of the calendar.
    """

    week: tuple[tuple[Opening, ...], ...]
    closed: frozenset[date]
    zone: ZoneInfo

    @classmethod
    def from_table(cls, table: Mapping[str, Any] | None, zone: str) -> "Hours":
        """The hours of a shop file: {"mon": ["08:00-12:00"], …, "closed": [date, …]}; None is always open.

        Raises ValueError for a time that is none, for openings that overlap, and for a shop that never opens.
        """
        if table is None:
            return cls(((opening_of("00:00-24:00"),),) * 7, frozenset(), ZoneInfo(zone))
        week = tuple(tuple(sorted(opening_of(text) for text in table.get(day, ()))) for day in DAYS)
        _check_week(week)
        return cls(week, frozenset(table.get("closed", ())), ZoneInfo(zone))

    def moment(self, text: str) -> datetime:
        """A moment that a person wrote, UTC: RFC 3339, or without an offset as the shop's clock shows it.

        Raises ValueError for what is none, or lies beyond the calendar.
        """
        try:
            return in_utc(datetime.fromisoformat(text), self.zone)
        except OverflowError as error:
            raise ValueError(f"{text!r} lies beyond the calendar") from error

    def working(self, start: datetime, end: datetime) -> timedelta:
        """The working time from start to end; nothing where the end comes first."""
        start, end = _utc(start), _utc(end)
        touched = takewhile(lambda span: span[0] < end, self.openings_from(start))
        return sum((max(min(closes, end) - max(opens, start), NO_TIME) for opens, closes in touched), NO_TIME)

    def is_open(self, at: datetime) -> bool:
        """Whether the shop works at a moment; at the moment of closing it no longer does."""
        return self.next_open(at) == at

    def next_open(self, at: datetime) -> datetime:
        """The earliest moment, not before `at`, at which the shop works: `at` itself while it is open."""
        at = _utc(at)
        return max(at, next(opens for opens, closes in self.openings_from(at) if at < closes))

    def add_working(self, at: datetime, duration: timedelta) -> datetime:
        """The earliest moment by which that much working time has passed since `at`.

        Raises ValueError for a duration below nothing.
        """
        if duration < NO_TIME:
            raise ValueError(f"working time to add: {duration}; allowed is nothing or more")
        at = _utc(at)
        if not duration:
            return at
        for opens, closes in self.openings_from(at):
            begins = max(opens, at)
            if duration <= closes - begins:
                break
            duration -= max(closes - begins, NO_TIME)
        return begins + duration

    def day_of(self, at: datetime) -> date:
        """The shop's day that a moment falls in: the last one that had begun."""
        at = _utc(at)
        day = at.astimezone(self.zone).date()
        return day + ONE_DAY if at >= self._start_of(day + ONE_DAY) else day

    def day_bounds(self, day: date) -> Span:
        """When a day of the shop begins and ends, UTC: 24 hours apart, or as many as that day has."""
        return self._start_of(day), self._start_of(day + ONE_DAY)

    def closing(self, day: date) -> datetime:
        """When the work of a day ends, UTC: the last closing of its openings; of a day without any, its own end."""
        openings = self._openings_on(day)
        return openings[-1][1] if openings else self.day_bounds(day)[1]

    def shift_of(self, at: datetime) -> date:
        """The working day that a moment belongs to: until the last closing of the day before, that one."""
        day = self.day_of(at)
        before = day - ONE_DAY
        return before if at < self.closing(before) else day

    def shift_bounds(self, day: date) -> Span:
        """The first moment that belongs to a working day, and the first that no longer does, UTC."""
        starts, ends = self.day_bounds(day)
        return max(starts, self.closing(day - ONE_DAY)), max(ends, self.closing(day))

    def breaks(self, day: date) -> list[Span]:
        """The closed stretches between the openings of a day, such as lunch, UTC."""
        return [(closes, opens) for (_, closes), (opens, _) in pairwise(self._openings_on(day)) if closes < opens]

    def week_of(self, at: datetime) -> str:
        """The ISO 8601 week of the shop's day at a moment: "2026-W53"."""
        year, week, _ = self.day_of(at).isocalendar()
        return f"{year:04}-W{week:02}"

    def week_bounds(self, week: str) -> Span:
        """When an ISO 8601 week of the shop begins and ends, UTC. Raises ValueError for what is no week."""
        monday = monday_of(week)
        try:
            return self._start_of(monday), self._start_of(monday + 7 * ONE_DAY)
        except OverflowError:
            raise ValueError(f'week "{week}": too near the end of the calendar') from None

    def openings_from(self, at: datetime) -> Iterator[Span]:
        """Openings in their order. The first begin the day before, for they may last beyond midnight."""
        day = at.astimezone(self.zone).date() - ONE_DAY
        while True:
            yield from self._openings_on(day)
            day += ONE_DAY

    @cached_property
    def _start_of(self) -> Callable[[date], datetime]:
        return lru_cache(CACHED_DAYS_MAX)(lambda day: _first_moment(day, NO_TIME, self.zone))

    @cached_property
    def _openings_on(self) -> Callable[[date], tuple[Span, ...]]:
        return lru_cache(CACHED_DAYS_MAX)(self._work_out_openings)

    def _work_out_openings(self, day: date) -> tuple[Span, ...]:
        openings = () if day in self.closed else self.week[day.weekday()]
        spans = (
            (_first_moment(day, opens, self.zone), _first_moment(day, closes, self.zone)) for opens, closes in openings
        )
        return tuple((opens, closes) for opens, closes in spans if opens < closes)  # clocks may jump over all of one


def opening_of(text: str) -> Opening:
    """An opening as people write it: "08:00-12:00", "22:00-02:00" beyond midnight, "00:00-24:00" all day.

    Raises ValueError, which says what is allowed.
    """
    times = re.fullmatch(r"([0-9]{1,2}):([0-9]{2})\s*[-–]\s*([0-9]{1,2}):([0-9]{2})", text.strip())
    if times is None:
        raise ValueError(f'"{text}" is no opening; write one like "08:00-12:00"')
    opens_h, opens_min, closes_h, closes_min = map(int, times.groups())
    opens = timedelta(hours=opens_h, minutes=opens_min)
    closes = timedelta(hours=closes_h, minutes=closes_min)
    if opens >= ONE_DAY or closes > ONE_DAY or max(opens_min, closes_min) > 59:
        raise ValueError(f'"{text}" has a time that no clock shows; allowed is 00:00 to 24:00')
    if opens == closes:
        raise ValueError(f'"{text}" lasts no time at all; a whole day is "00:00-24:00"')
    return opens, closes if opens < closes else closes + ONE_DAY


def monday_of(week: str) -> date:
    """The Monday of an ISO 8601 week, "2026-W53". Raises ValueError, which says what is allowed."""
    parts = re.fullmatch(r"([0-9]{4})-W([0-9]{2})", week)
    if parts is None:
        raise ValueError(f'week "{week}": write a year and a week, like "2026-W48"')
    year, number = map(int, parts.groups())
    try:
        return date.fromisocalendar(year, number, 1)
    except ValueError:
        last = date(max(year, 1), 12, 28).isocalendar().week  # the 28th is always in the year's last week
        raise ValueError(f'week "{week}": weeks of that year go from W01 to W{last}') from None


def _check_week(week: tuple[tuple[Opening, ...], ...]) -> None:
    if not any(week):
        raise ValueError('no day has hours, so the shop would never open; write mon = ["08:00-17:00"]')
    dated = [(n, (n * ONE_DAY + opens, n * ONE_DAY + closes)) for n, day in enumerate(week) for opens, closes in day]
    first, (opens, closes) = dated[0]
    again = (first, (opens + 7 * ONE_DAY, closes + 7 * ONE_DAY))
    for (day, (_, closes)), (next_day, (opens, _)) in pairwise([*dated, again]):
        if opens < closes:
            raise ValueError(f"{DAYS[day]} is still open when {DAYS[next_day]} opens; openings must not overlap")


def _first_moment(day: date, since_midnight: timedelta, zone: ZoneInfo) -> datetime:
    """The first moment, UTC, at which the clock on the wall shows that time of that day, or a later one.

    So a time that comes twice is its first coming, and a time that the clocks jump over is the jump.
    """
    wall = datetime.combine(day, time()) + since_midnight
    first, second = (wall.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1))
    if first <= second:
        return first

    def shown(seconds: int) -> datetime:
        return (second + timedelta(seconds=seconds)).astimezone(zone).replace(tzinfo=None)

    # In a gap zoneinfo reads fold 0 by the offset before the jump and fold 1 by the one after: the jump is between.
    gap_s = int((first - second).total_seconds())
    return second + timedelta(seconds=bisect_left(range(gap_s + 1), wall, key=shown))


def in_utc(at: datetime, zone: tzinfo) -> datetime:
    """A moment that a person wrote, UTC; without an offset it is what the clock on the wall of that zone shows.

    Raises OverflowError at the ends of the calendar, which have no moment in every zone.
    """
    return (at if at.tzinfo else at.replace(tzinfo=zone)).astimezone(UTC)


def _utc(moment: datetime) -> datetime:
    if moment.tzinfo is None:
        raise ValueError(f"{moment} has no time zone; use UTC")
    return moment.astimezone(UTC)
