"""The chapter on printers and presses: how long each was busy, hour by hour, and how long it could have been.

Never calls a machine idle while the shop was closed.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from floor import wording
from floor.reports.chapters.draft import BELOW, Draft
from floor.reports.charts.bars import no_picture
from floor.reports.charts.day import HEIGHT, Hour, day, hours_axis
from floor.reports.charts.rows import Cell, Column, Named, figures
from floor.reports.data import MachineWeek
from floor.use import HourUse
from tickets.blocks import Block, paragraph, space, together
from tickets.box import MM

TITLE = "Printers and presses, hour by hour"
NAME = 11.0
"""Points, of a machine's name above its days."""
ABOUT = "The higher a bar, the more of its hour was busy. Thick line: the shop was open."


def machines(draft: Draft) -> list[Block]:
    """Each machine's days; nothing where there is no machine."""
    blocks = [_machine(draft, use) for use in draft.report.machines]
    return draft.chapter(TITLE, [draft.words(ABOUT)], blocks) if blocks else []


def _machine(draft: Draft, use: MachineWeek) -> Block:
    columns = [Column("day", 40 * MM), Column(hours_axis), figures("busy"), figures("open")]
    contents = [
        _day(draft, hours) for hours in _days(draft, use.hours) if any(each.busy_s or each.open_s for each in hours)
    ]
    total: Sequence[Cell] = (
        Named("all", list(_notes(use))),
        no_picture,
        wording.duration(use.busy_s),
        wording.duration(use.planned_open_s),
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
    return wording.day(hours[0].starts, zone), day(drawn), *_sums(hours)


def _sums(hours: Sequence[HourUse]) -> tuple[str, str]:
    busy_s, open_s = sum(each.busy_s for each in hours), sum(each.open_s for each in hours)
    return wording.duration(busy_s), wording.duration(open_s)


def _notes(use: MachineWeek) -> Iterator[str]:
    if use.allocation_efficiency is not None:
        yield f"busy {wording.percent(use.allocation_efficiency)} of opening hours"
    if use.utilization_efficiency is not None:
        yield f"{wording.percent(use.utilization_efficiency)} of the busy time added value"
    if use.down_open_s:
        yield f"down for {wording.duration(use.down_open_s)} of opening hours"
    yield f"{use.steps:,} steps: {use.derived:,} derived; {use.assumed:,} more assumed, left out"
