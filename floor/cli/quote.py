"""`quote`: what a job file costs, what it should be charged, and when it would be done.

Never stores anything.
"""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

import click
from pydantic import TypeAdapter, ValidationError

from floor.cli.choices import OneOf
from floor.cli.jobs import JOB_FILE, read_job
from floor.cli.opening import Folder, pass_folder
from floor.cli.tables import out, promise_text, quote_text
from floor.cli.trouble import answers, say_json
from floor.cli.writing import whole_file
from floor.core.cost.pricing import at_margin, without_prices
from floor.core.cost.quote import quote_answer, quoted_lines
from floor.core.orders.jobs import take
from floor.core.plan.promise import Promise, promise
from floor.core.state.floor import Floor
from shared.events.jobs import Line
from shared.files.jobfile import JobFile, base_cost_notes
from shared.files.pricing import Margin
from shared.files.shop import Shop
from shared.plain import plain


def _margin(_context: click.Context, _parameter: click.Parameter, text: str | None) -> Decimal | None:
    """A share of the price. Refuses 1 and more, for which no price is high enough."""
    try:
        return TypeAdapter(Margin | None).validate_python(text)
    except ValidationError:
        allowed = "a share of the price from 0 to below 1, with at most 4 decimals"
        raise click.BadParameter(f"{text!r} is not {allowed}. For 60 per cent write: 0.6") from None


@click.command()
@JOB_FILE
@click.option("--margin", metavar="SHARE", callback=_margin, help="Price every line for this margin: 0.6 is 60 %.")
@click.option("--pdf", type=click.Path(allow_dash=True), help="A quotation for the customer; - is standard output.")
@click.option("--promise", "promised", is_flag=True, help="When it would be done, and which jobs it would make late.")
@click.option("--paper", type=OneOf(["a4", "letter"]), help="Left out: the shop file's.")
@pass_folder
@answers
def quote(
    folder: Folder,
    file: str,
    margin: Decimal | None,
    pdf: str | None,
    promised: bool,
    paper: str | None,
    as_json: bool,
) -> None:
    """The cost, price and margin of a job FILE; nothing is stored."""
    shop = folder.shop if margin is None else at_margin(folder.shop, margin)
    job = read_job(file, shop)
    floor, now = folder.floor(), folder.clock.now()
    priced = job if margin is None else without_prices(job)
    lines = quoted_lines(priced, shop, floor.supplies.ink.factors_at(now))
    if pdf:
        _write_quotation(pdf, paper or shop.file.quotation.paper, job, lines, shop, now)
    for note in [*base_cost_notes(job, shop), *_past(job, shop, now)]:
        click.echo(note, err=True)
    if pdf == "-":
        return
    answer = plain(quote_answer(lines, shop.currency, shop.unit))
    told = _promise(floor, shop, priced, now) if promised else None
    if as_json:
        say_json({**answer, "promise": told} if told else answer)
        return
    out(quote_text(answer))
    if told:
        out(promise_text(told, shop))


def _past(job: JobFile, shop: Shop, now: datetime) -> list[str]:
    return ["It is due in the past. Is the date right?"] if job.due_in(shop.file.shop.zone) <= now else []


def _promise(floor: Floor, shop: Shop, job: JobFile, now: datetime) -> Promise:
    """As if it were taken now, on a floor of its own."""
    taken = take(floor, shop, job, now)
    return promise(floor, shop, taken.job, taken.facts, now)


def _write_quotation(pdf: str, paper: str, job: JobFile, lines: Sequence[Line], shop: Shop, now: datetime) -> None:
    from floor.papers.quotation import quotation_of, write_quotation

    due = job.due_in(shop.file.shop.zone)
    with whole_file(pdf) as drawn:
        write_quotation(quotation_of(lines, job.customer, due, shop, now), shop, paper, drawn)
    if pdf != "-":
        click.echo(f"The quotation is in {pdf}.", err=True)
