"""`standards`: the standard times beside those that the ledger shows, and the shop file brought up to date.

Never changes a quote: those are frozen with their jobs.
"""

from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path
from typing import Any

import click
import tomlkit
from msgspec.structs import asdict
from rich.console import Group, RenderableType
from rich.text import Text

from floor.cli.opening import Folder, pass_folder
from floor.cli.tables import out, width
from floor.cli.trouble import NotDone, answers, say_json
from floor.core.cost.standards import Learned, every, learned, said
from floor.service.files import whole
from floor.words.columns import figures, table, words
from shared.files.near import nearest
from shared.files.problems import parse_toml
from shared.files.shop import Shop, parse_shop
from shared.files.shopfile import FILE_NAME
from shared.files.tomltext import shown_text
from shared.wording import duration, figure

ON_EVIDENCE = (
    "mean: scanned in and out, and 95 % sure. range: scanned at the end alone; what hands did beside it may be in it. "
    "at most: the machine may have waited for hands. nothing: fewer than five days, or other things lay between. "
    'To be sure, scan a step in and out (scans = "in_out").'
)


@click.command()
@click.option("--weeks", default=8, type=click.IntRange(1, 520), help="How far to look back; left out, eight weeks.")
@click.option("--accept", metavar="WHERE", multiple=True, help='Write a proposal: "steps.pretreat.touch_s", or "all".')
@pass_folder
@answers
def standards(folder: Folder, weeks: int, accept: Sequence[str], as_json: bool) -> None:
    """Standard times beside those of the ledger."""
    now = folder.clock.now()
    found = learned(folder.floor(), folder.shop, now - timedelta(weeks=weeks), now)
    accepted = [each for each in found if each.proposed_s is not None and {each.where, "all"} & {*accept}]
    _check_known(accept, found, folder.shop)
    if accepted:
        _write_standards(folder.path / FILE_NAME, accepted)
    if as_json:
        every = [{"where": each.where, **asdict(each)} for each in found]
        say_json({"weeks": weeks, "standards": every, "accepted": [each.where for each in accepted]})
        return
    out(_table(found, folder.shop.currency) if found else f"No step was timed in the last {weeks} weeks.")
    for each in accepted:
        click.echo(f"{FILE_NAME}: {each.where} is {each.proposed_s} now; it was {each.standard_s:g}.")


def _table(found: Sequence[Learned], currency: str) -> RenderableType:
    columns = [
        figures("standard", (duration(each.standard_s) for each in found)),
        figures("times", (each.n for each in found)),
        figures("on days", (each.days for each in found)),
        words("shows", (each.how for each in found)),
        figures("mean", (duration(each.mean_s) for each in found)),
        figures("from", (duration(each.low_s) for each in found)),
        figures("to", (duration(each.high_s) for each in found)),
        figures(f"costs {currency}\na week more", (figure(each.costs_a_week, currency) for each in found)),
        figures("proposed", (duration(each.proposed_s) for each in found)),
    ]
    return Group(table(words("standard of", (each.where for each in found)), columns, width()), Text(ON_EVIDENCE))


def _check_known(accept: Sequence[str], found: Sequence[Learned], shop: Shop) -> None:
    proposed = [each.where for each in found if each.proposed_s is not None]
    for where in accept:
        if where not in {*proposed, "all"}:
            allowed = ", ".join(proposed) or "nothing: no standard is off"
            do = f"{_meant(where, shop)} See: piecewalk standards".strip()
            raise NotDone(f"Nothing is proposed for {where!r}", found=where, allowed=allowed, do=do)


def _meant(where: str, shop: Shop) -> str:
    """Which standard was likely meant by a place that has none, or by the name of a step."""
    standards = [*every(shop)]
    steps = {str(way[1]): said(way) for way in standards if way[0] == "steps"}
    spelt = dict.fromkeys(shop.file.steps, "") | steps | {said(way): said(way) for way in standards}
    meant = spelt.get(nearest(where, spelt) or "", "")
    return f"Did you mean {shown_text(meant)}?" if meant not in {"", where} else ""


def _write_standards(file: Path, accepted: Sequence[Learned]) -> None:
    """Write proposals into a shop file, which keeps its comments. Raises ProblemsFound before anything is changed."""
    document = tomlkit.parse(file.read_text(encoding="utf-8-sig"))
    for each in accepted:
        *way, number = each.way
        inner: Any = document
        for name in way:
            inner = inner[name]
        inner[number] = each.proposed_s
    text = tomlkit.dumps(document).encode()
    parse_shop(parse_toml(text, file.name))
    with whole(file) as out:
        out.write(text)
