"""Alarms: what needs a person at a moment, when the next thing will, and what changed since they were last looked at.

Never waits: floor.service.timekeeper does, and asks here.
"""

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta

from floor.core.plan.forecast import expected_finishes, late
from floor.core.plan.presses import InPress, in_presses, wet_deadline
from floor.core.state.floor import Floor
from shared.events.floor import AlarmCleared, AlarmKind, AlarmRaised
from shared.events.recorded import Fact
from shared.files.shop import Shop
from shared.wording import duration

Key = tuple[AlarmKind, str]


def standing(
    floor: Floor, shop: Shop, now: datetime, expected: Mapping[str, datetime] | None = None
) -> dict[Key, AlarmRaised]:
    """Every alarm that should stand at a moment.

    `expected` is when each job is expected to be finished, where that is known already: to work it out takes longest.
    """
    alarms = [
        *_wet(floor, shop, now),
        *_presses(floor, shop, now),
        *_late(floor, shop, expected_finishes(floor, shop, now) if expected is None else expected, now),
        *_scanners(floor, shop),
        *_stations(floor, shop),
        *_care(floor, shop, now),
    ]
    return {(alarm.alarm, alarm.subject): alarm for alarm in alarms}


def changes(floor: Floor, shop: Shop, now: datetime, expected: Mapping[str, datetime] | None = None) -> list[Fact]:
    """What must be recorded so that the floor's alarms are those that should stand: cleared ones, then raised ones."""
    wanted = standing(floor, shop, now, expected)
    cleared = [
        AlarmCleared(alarm=kind, subject=subject) for kind, subject in floor.alarms if (kind, subject) not in wanted
    ]
    raised = [alarm for key, alarm in wanted.items() if key not in floor.alarms]
    events: list[AlarmCleared | AlarmRaised] = [*cleared, *raised]
    return [Fact(event=event, occurred_at=now) for event in events]


def next_deadline(floor: Floor, shop: Shop, now: datetime) -> datetime | None:
    """The earliest moment after `now` at which, with no further read, an alarm will be due."""
    return min((moment for moment in _deadlines(floor, shop, now) if moment > now), default=None)


def _deadlines(floor: Floor, shop: Shop, now: datetime) -> Iterator[datetime]:
    for piece in floor.open.values():
        if deadline := wet_deadline(piece):
            yield deadline
    for press in in_presses(floor, shop, now):
        if press.opens_at:
            yield press.opens_at
            yield press.opens_at + timedelta(seconds=press.over_s)
    yield from floor.cared.values()
    yield from _care_due(floor, shop, now).values()


def _wet(floor: Floor, shop: Shop, now: datetime) -> Iterator[AlarmRaised]:
    for piece in floor.open.values():
        deadline = wet_deadline(piece)
        if deadline is not None and deadline <= now:
            limit_min = (deadline - piece.waiting_since()).total_seconds() / 60
            wet = "{piece} has been wet for more than {minutes} min: press it now."
            say = shop.words.say(wet, piece=piece.code, minutes=f"{limit_min:g}")
            yield AlarmRaised(alarm="wet too long", subject=piece.code, since=deadline, say=say)


def _presses(floor: Floor, shop: Shop, now: datetime) -> Iterator[AlarmRaised]:
    for press in in_presses(floor, shop, now):
        if press.piece is None or press.opens_at is None:
            continue
        early = floor.pieces[press.piece].opened_early
        if press.opens_at <= now:
            yield _press_alarm(shop, press, press.opens_at, now)
        elif early and not press.take_out and press.closed_since and early >= press.closed_since:
            opened = "{press} was opened too early on {piece}: close it again."
            say = shop.words.say(opened, press=press.station, piece=press.piece)
            yield AlarmRaised(
                alarm="opened too early", subject=press.piece, since=early, say=say, at_station=press.station
            )


def _press_alarm(shop: Shop, press: InPress, opens_at: datetime, now: datetime) -> AlarmRaised:
    over_at = opens_at + timedelta(seconds=press.over_s)
    over = now >= over_at
    say = "{press} is over its time: take {piece} out." if over else "{press} is done: take {piece} out."
    return AlarmRaised(
        alarm="press over time" if over else "press open now",
        subject=press.piece or "",
        since=over_at if over else opens_at,
        say=shop.words.say(say, press=press.station, piece=press.piece),
        at_station=press.station,
    )


def _late(floor: Floor, shop: Shop, expected: Mapping[str, datetime], now: datetime) -> Iterator[AlarmRaised]:
    for code in dict.fromkeys(piece.job for piece in floor.open.values()):
        job = floor.jobs[code]
        if late(floor, job, expected.get(code), now):
            over = max(now, expected.get(code, now)) - job.due
            late_by = "{job} for {customer} will be late by {over} or more."
            over_for = duration(over.total_seconds())
            say = shop.words.say(late_by, job=code, customer=job.customer, over=over_for)
            yield AlarmRaised(alarm="job late", subject=code, since=now, say=say)


def _scanners(floor: Floor, shop: Shop) -> Iterator[AlarmRaised]:
    """Scanners of the shop file that are absent; one that was taken out of the file is nobody's trouble."""
    known = {scanner.name: scanner.station for scanner in shop.file.scanners}
    for name, (since, why) in floor.lost.items():
        if name in known:
            say = shop.words.say("{scanner} is absent ({why}): plug it in.", scanner=name, why=why)
            yield AlarmRaised(alarm="scanner absent", subject=name, since=since, say=say, at_station=known[name])


def _stations(floor: Floor, shop: Shop) -> Iterator[AlarmRaised]:
    """Stations of the shop file that are down."""
    for name in shop.stations:
        since = floor.down_since(name)
        if since is not None:
            down = shop.words.say("{station} is down and takes no work.", station=name)
            say = f"{down} {shop.words.say('Read its station up card when it works again.')}"
            yield AlarmRaised(alarm="station down", subject=name, since=since, say=say, at_station=name)


def _care_due(floor: Floor, shop: Shop, now: datetime) -> dict[str, datetime]:
    """When each care task falls due next: its interval after it was done, or after the floor began.

    What was done in the future was done by a clock gone wrong, and does not count.
    """
    if floor.began is None:
        return {}
    done = {task: moment for task, moment in floor.cared.items() if moment <= now}
    return {care.name: done.get(care.name, floor.began) + care.every for care in shop.file.care}


def _care(floor: Floor, shop: Shop, now: datetime) -> Iterator[AlarmRaised]:
    for task, due in _care_due(floor, shop, now).items():
        if due <= now:
            say = shop.words.say("Due: {task}.", task=task)
            yield AlarmRaised(alarm="care due", subject=task, since=due, say=say)
