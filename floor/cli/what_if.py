"""`what-if`: the floor as it is, in a shop with another press, other hands, other hours.

Never changes the shop.
"""

import re
from datetime import datetime

import click
from msgspec.structs import asdict
from rich.console import Group, RenderableType
from rich.text import Text

from floor.cli.opening import Folder, pass_folder
from floor.cli.tables import cells, out, plain_table
from floor.cli.trouble import NotDone, answers, say_json
from floor.core.plan.what_if import Then, WhatIf, changed, then
from shared.files.shop import Shop
from shared.hours import DAYS, opening_of
from shared.wording import NO_FIGURE, full_moment, money, percent

MORE = re.compile(r"[+-]?[0-9]{1,2}")


def _more(_context: click.Context, parameter: click.Parameter, text: str) -> int:
    if not MORE.fullmatch(text):
        raise click.BadParameter(f"{text!r} is not a number of them. One more is: --{parameter.name} +1")
    return int(text)


@click.command("what-if")
@click.option("--press", default="0", metavar="+N", callback=_more, help="So many presses more, or fewer: +1, -1.")
@click.option("--printer", default="0", metavar="+N", callback=_more, help="So many printers more.")
@click.option("--hands", default="0", metavar="+N", callback=_more, help="So many pairs of hands more.")
@click.option("--hours", multiple=True, metavar="DAY=OPENING", help="mon=07:00-19:00; more than one opening: a comma.")
@pass_folder
@answers
def what_if(folder: Folder, press: int, printer: int, hands: int, hours: tuple[str, ...], as_json: bool) -> None:
    """The open jobs, if the shop were another.

    When each would be finished, which would be late, what holds the rest up, and what hands and machines cost a piece.
    """
    change = WhatIf(presses=press, printers=printer, hands=hands, openings=_openings(hours))
    floor, shop, now = folder.floor(), folder.shop, folder.clock.now()
    if not floor.open:
        raise NotDone("No piece is open, so nothing would change", do="Take a job first: piecewalk job add FILE")
    other = changed(shop, change)
    as_it_is, as_it_would_be = then(floor, shop, now), then(floor, other, now)
    if as_json:
        say_json({"as_it_is": asdict(as_it_is), "then": asdict(as_it_would_be)})
    else:
        out(_text(shop, as_it_is, as_it_would_be))


def _openings(hours: tuple[str, ...]) -> dict[str, list[str]]:
    """Raises NotDone for what names no day, ValueError for what is no opening."""
    openings = {}
    for text in hours:
        day, equals, spans = text.partition("=")
        if day not in DAYS or not equals:
            do = "Write: --hours mon=07:00-19:00"
            raise NotDone(f"{text!r} is no opening of a day", found=text, allowed=", ".join(DAYS), do=do)
        openings[day] = [span.strip() for span in spans.split(",") if span.strip()]
        for span in openings[day]:
            opening_of(span)
    return openings


def _text(shop: Shop, now: Then, other: Then) -> RenderableType:
    def moment(at: datetime | None) -> str:
        return full_moment(at, shop.hours.zone) if at else NO_FIGURE

    jobs = plain_table("job", "finished as it is", "then", "late as it is", "then")
    for job, finish in now.finishes.items():
        lateness = (_lateness(each, job) for each in (now, other))
        jobs.add_row(*cells(job, moment(finish), moment(other.finishes.get(job)), *lateness))
    whole = plain_table("", "as it is", "then")
    whole.add_row(*cells("all done", *(_stuck(each) or moment(each.all_done) for each in (now, other))))
    if now.bottleneck or other.bottleneck:
        whole.add_row(*cells("bottleneck", *map(_bottleneck, (now, other))))
    costs = [each.cost_per_piece for each in (now, other)]
    if any(costs):
        shown = (NO_FIGURE if cost is None else money(cost, shop.currency) for cost in costs)
        whole.add_row(*cells("hands and machines, a piece", *shown))
    return Group(jobs, Text(), whole)


def _lateness(each: Then, job: str) -> str:
    if job in each.late:
        return "late"
    return "stuck" if each.finishes.get(job) is None else NO_FIGURE


def _stuck(each: Then) -> str:
    """Why not all can be done; nothing where all can be."""
    if all(each.finishes.values()):
        return ""
    works = f": no station for {', '.join(each.stopped)} works" if each.stopped else ""
    return f"not all can be done{works}"


def _bottleneck(each: Then) -> str:
    return NO_FIGURE if each.bottleneck is None else f"{each.bottleneck}, busy {percent(each.busy)}"
