"""`report`: the week, and what is behind its figures.

Never draws by itself: floor.reports does.
"""

import click
from msgspec.structs import replace

from floor.cli import progress
from floor.cli.choices import OneOf
from floor.cli.completing import job_codes
from floor.cli.opening import Folder, job_of, pass_folder
from floor.cli.tables import out, width
from floor.cli.trouble import NotDone, answers, say_json
from floor.cli.week_files import write_week
from floor.core.cost.account import account
from floor.core.cost.actual import Costs
from floor.core.figures.explain import explanation
from floor.core.figures.money import job_week
from floor.core.figures.week import left_between, spoiled_before, week_report
from floor.core.times.cycle import Walks
from floor.reports.answer import explanation_answer, report_answer
from floor.reports.explained import explanation_text
from floor.reports.terminal import report_text
from shared.money import ELEMENTS, Element


@click.group(invoke_without_command=True)
@click.option("--week", metavar="WEEK", help="An ISO week: 2026-W48. Left out: the present one.")
@click.option("--pdf", metavar="FILE", help="Write it for paper; - is standard output.")
@click.option("--xlsx", metavar="FILE", help="Write it as a workbook; - is standard output.")
@click.option("--csv", metavar="DIR", help="Write it as CSV files into this folder.")
@pass_folder
@answers
@click.pass_context
def report(
    context: click.Context,
    folder: Folder,
    week: str | None,
    pdf: str | None,
    xlsx: str | None,
    csv: str | None,
    as_json: bool,
) -> None:
    """The week: quoted and actual cost, and why they differ."""
    if context.invoked_subcommand:
        if week or pdf or xlsx or csv or as_json:
            raise click.UsageError("Options of explain come after it: report explain JOB ELEMENT --week WEEK")
        return
    shop, now = folder.shop, folder.clock.now()
    if week is not None and shop.hours.week_bounds(week)[0] > now:
        raise NotDone(f"Week {week} has not come yet", found=week, do="Leave --week out for the present one.")
    found = week_report(folder.floor(rows_of=progress.read), shop, week or shop.hours.week_of(now), now)
    found = replace(found, anchor=folder.anchor())
    files = write_week(found, shop, pdf, xlsx, csv)
    for file in files:
        click.echo(f"The report of week {found.week} is in {file}.", err=True)
    if as_json and "-" not in files:
        say_json(report_answer(found))
    elif not files:
        out(report_text(found, shop, width()))


@report.command()
@click.argument("job", metavar="JOB", shell_complete=job_codes)
@click.argument("element", metavar="ELEMENT", type=OneOf(ELEMENTS))
@click.option("--week", metavar="WEEK", help="Only what the report of an ISO week tells; left out, the whole job.")
@pass_folder
@answers
def explain(folder: Folder, job: str, element: Element, week: str | None, as_json: bool) -> None:
    """The pieces, steps and scans behind a figure.

    Of a JOB, and an ELEMENT of its cost: garment, pretreat, white_ink, colour_ink, labour, machine, consumables,
    spoilage or overhead.
    """
    floor, shop = folder.floor(), folder.shop
    pieces, before = job_of(floor, job).pieces, []
    if week is not None:
        start, end = shop.hours.week_bounds(week)
        pieces, before = left_between(floor, start, end).get(job, []), spoiled_before(floor, job, start)
    walks = Walks(floor, shop)
    its = account(Costs(walks, shop), pieces, before)
    if not (its.good or its.spoiled):
        raise NotDone(f"No piece of {job} was finished or spoiled {f'in {week}' if week else 'yet'}", do="Look later.")
    told = job_week(walks, job, its, shop.unit)
    found = explanation(walks, its, told, element, week, shop.currency, shop.unit)
    if as_json:
        say_json(explanation_answer(found))
    else:
        out(explanation_text(found, shop, width()))
