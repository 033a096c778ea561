"""`stock`: blanks that came in, and what is on hand of them.

Never changes what was recorded: what was told wrongly is told again for the same moment.
"""

from decimal import Decimal

import click
from rich.console import RenderableType

from floor.cli.completing import item_names
from floor.cli.opening import Folder, pass_folder, past_or_now
from floor.cli.tables import out, width
from floor.cli.trouble import answers, say_json
from floor.core.orders.receiving import StockAnswer, receive, stock_answer
from floor.words.columns import figures, table, words
from shared.events.prices import StockReceived
from shared.harmless import harmless
from shared.money import typed_amount
from shared.wording import figure, money

PIECES_MAX = 1_000_000
COUNTS = (
    ("received", "received"),
    ("drawn", "drawn"),
    ("drawn that nobody\nreceived", "unreceived"),
    ("on hand", "on_hand"),
)


@click.group(invoke_without_command=True)
@pass_folder
@answers
@click.pass_context
def stock(context: click.Context, folder: Folder, as_json: bool) -> None:
    """The blanks on hand: received, less drawn.

    First in, first out: what came in first is drawn first.
    """
    if context.invoked_subcommand:
        return
    found = stock_answer(folder.floor(), folder.shop.currency)
    if as_json:
        say_json(found)
    else:
        out(_table(found) if found.blanks else "No blanks were received. Tell them with: piecewalk stock receive")


def _cost(_context: click.Context, _parameter: click.Parameter, text: str) -> Decimal:
    cost = typed_amount(text)
    if cost is None:
        raise click.BadParameter(f"{text!r} is not an amount, such as 2.35")
    return cost


@stock.command("receive")
@click.argument("item", shell_complete=item_names)
@click.option("--colour", required=True)
@click.option("--size", required=True)
@click.option("--quantity", required=True, type=click.IntRange(0, PIECES_MAX), help="0 takes back that moment's.")
@click.option("--cost-each", "cost", required=True, callback=_cost, metavar="AMOUNT", help="What one blank cost.")
@click.option("--at", metavar="TIME", help="When, if not now. Told again for the same moment, it is corrected.")
@pass_folder
@answers
def stock_receive(
    folder: Folder, item: str, colour: str, size: str, quantity: int, cost: Decimal, at: str | None, as_json: bool
) -> None:
    """Tell that blanks of an ITEM came in.

    Pieces that are begun from then on bear what their blanks cost, first in first out.
    """
    shop, when = folder.shop, past_or_now(at, folder)
    event = StockReceived(
        item=item, colour=colour, size=size, quantity=quantity, cost_each=cost, currency=shop.currency
    )
    with folder.service() as service:
        service.record(lambda _floor: ([receive(shop, event, when)], None))
    if as_json:
        say_json({"item": item, "colour": colour, "size": size, "quantity": quantity, "cost_each": cost, "at": when})
    else:
        click.echo(harmless(f"{quantity} × {item}, {colour}, {size} came in at {money(cost, shop.currency)} each."))


def _table(found: StockAnswer) -> RenderableType:
    blanks, currency = found.blanks, found.currency
    columns = [
        *(figures(heading, (f"{getattr(each, key):,}" for each in blanks)) for heading, key in COUNTS),
        figures(f"worth\n{currency}", (figure(each.worth, currency) for each in blanks)),
    ]
    names = (f"{each.item}, {each.colour}, {each.size}" for each in blanks)
    return table(words("blank", names), columns, width())
