"""The chapter on printers and presses: how long each was busy, hour by hour, and how long it could have been.

Never calls a machine idle while the shop was closed.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from floor.core.figures.data import MachineWeek
from floor.core.times.use import HourUse
from floor.reports.chapters.draft import BELOW, Draft
from floor.reports.charts.bars import no_picture
from floor.reports.charts.day import HEIGHT, Hour, day, hours_axis
from floor.reports.charts.rows import Cell, Column, Named, figures
from shared import wording
from tickets.kit.blocks import Block, paragraph, space, together
from tickets.kit.box import MM

NAME = 11.0
"""Points, of a machine's name above its days."""


def machines(draft: Draft) -> list[Block]:
    """Each machine's days; nothing where there is no machine."""
    blocks = [_machine(draft, use) for use in draft.report.machines]
    about = draft.say("The higher a bar, the more of its hour was busy. Thick line: the shop was open.")
    title = draft.say("Printers and presses, hour by hour")
    return draft.chapter(title, [draft.words(about)], blocks) if blocks else []


def _machine(draft: Draft, use: MachineWeek) -> Block:
    sums = figures(draft.say("busy")), figures(draft.say("open"))
    columns = [Column(draft.say("day"), 40 * MM), Column(hours_axis), *sums]
    contents = [
        _day(draft, hours) for hours in _days(draft, use.hours) if any(each.busy_s or each.open_s for each in hours)
    ]
    total: Sequence[Cell] = (
        Named(draft.say("all"), list(_notes(draft, use))),
        no_picture,
        wording.working_time(use.busy_s),
        wording.working_time(use.planned_open_s),
    )
    name = paragraph(draft.pen, use.station, draft.width, NAME, "bold")
    return together([name, *draft.table(columns, [*contents, total], least=HEIGHT), space(3 * BELOW)])


def _days(draft: Draft, hours: Iterable[HourUse]) -> Iterator[list[HourUse]]:
    """The hours of each day in the shop's zone."""
    zone = draft.shop.hours.zone
    for _, its in groupby(hours, lambda hour: hour.starts.astimezone(zone).date()):
        yield list(its)


def _day(draft: Draft, hours: Sequence[HourUse]) -> Sequence[Cell]:
    zone = draft.shop.hours.zone
    drawn = [
        Hour(each.starts.astimezone(zone).hour, each.busy_s / wording.HOUR_S, each.open_s / wording.HOUR_S)
        for each in hours
    ]
    return draft.day(hours[0].starts), day(drawn), *_sums(hours)


def _sums(hours: Sequence[HourUse]) -> tuple[str, str]:
    busy_s, open_s = sum(each.busy_s for each in hours), sum(each.open_s for each in hours)
    return wording.working_time(busy_s), wording.working_time(open_s)


def _notes(draft: Draft, use: MachineWeek) -> Iterator[str]:
    if use.allocation_efficiency is not None:
        yield draft.say("busy {share} of opening hours", share=draft.percent(use.allocation_efficiency))
    if use.utilization_efficiency is not None:
        yield draft.say("{share} of the busy time added value", share=draft.percent(use.utilization_efficiency))
    if use.down_open_s:
        yield draft.say("down for {duration} of opening hours", duration=wording.working_time(use.down_open_s))
    yield draft.say(
        "{steps} steps: {derived} derived; {assumed} more assumed, left out",
        steps=draft.count(use.steps),
        derived=draft.count(use.derived),
        assumed=draft.count(use.assumed),
    )
