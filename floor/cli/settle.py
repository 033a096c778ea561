"""`init` and `check`: a shop is made, and looked over.

Never overwrites anything.
"""

from pathlib import Path

import click

from floor.cli.opening import Folder, pass_folder
from floor.cli.trouble import NotDone, answers, say_json
from floor.ledger.check import first_trouble
from shared.shopfile import FILE_NAME


@click.command()
@click.argument("directory", type=click.Path(path_type=Path, file_okay=False))
@answers
def init(directory: Path, as_json: bool) -> None:
    """Make a new shop in DIRECTORY: a commented shop file and an empty ledger."""
    file = directory / FILE_NAME
    if file.exists():
        raise NotDone(f"There is a shop file in {directory} already", do="Nothing was changed. Choose another folder.")
    directory.mkdir(parents=True, exist_ok=True)
    file.write_text(Path(__file__).with_name("new_shop.toml").read_text(encoding="utf-8"), encoding="utf-8")
    folder = Folder(directory)
    with folder.ledger() as ledger:
        durability = ledger.durability
    if as_json:
        say_json({"shop": str(directory), "file": str(file), "ledger": folder.database, "durability": durability})
        return
    click.echo(f"A new shop is in {directory}. The ledger: {durability}.")
    click.echo(f"Next: write your items, prices and stations into {file}, then: piecewalk --shop {directory} check")


@click.command()
@pass_folder
@answers
def check(folder: Folder, as_json: bool) -> None:
    """Check the shop file, and every row of the ledger."""
    shop = folder.shop
    with folder.ledger() as ledger:
        trouble = first_trouble(ledger)
        rows, durability = ledger.head(), ledger.durability
    if trouble:
        raise NotDone(trouble, where="ledger")
    if as_json:
        say_json({"shop": shop.name, "rows": rows, "durability": durability, "good": True})
        return
    click.echo(f"{shop.name}: the shop file is sound; all {rows} rows of the ledger are whole ({durability}).")
