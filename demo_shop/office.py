"""The demo shop's office: it does nothing but run public commands, as a shop would, by the demo's clock.

Never hands out a code that was not read from paper.
"""

import json
import shutil
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path
from typing import Any

from msgspec import Struct

from demo_shop.artwork import draw_pictures
from demo_shop.paper import read_back
from demo_shop.promises import NotAsPromised
from floor.cli.main import main
from floor.cli.opening import Folder
from shared.clock import Clock
from shared.codes import CodeType
from shared.files.shopfile import FILE_NAME

HERE = Path(__file__).parent
ORDERS = "orders"
PRINTED = "printed"

Cards = dict[tuple[CodeType, str], str]
"""The code on each card, as it was read, by what is written on it."""


class Order(Struct, frozen=True, kw_only=True):
    """A job that was taken: the codes that it was given, and those that were read from its travellers."""

    job: str
    file: str
    given: tuple[str, ...]
    read: tuple[str, ...]
    travellers: Path


def move_in(path: Path) -> None:
    """Make a folder, and put the shop file, the job files and their pictures into it."""
    orders = path / ORDERS
    orders.mkdir(parents=True)
    (path / PRINTED).mkdir()
    shutil.copyfile(HERE / FILE_NAME, path / FILE_NAME)
    for file in (HERE / "jobs").glob("*.toml"):
        shutil.copyfile(file, orders / file.name)
    draw_pictures(orders)


class Office:
    """A shop folder, and the commands that are run on it."""

    def __init__(self, path: Path, clock: Clock) -> None:
        self.folder = Folder(path, clock)
        self._printed = path / PRINTED

    def command(self, *words: str) -> Any:
        """What a command answers with --json. Raises NotAsPromised when it is not done."""
        said = StringIO()
        try:
            with redirect_stdout(said):
                main.main(args=[*words, "--json"], prog_name="piecewalk", obj=self.folder, standalone_mode=False)
        except SystemExit as end:
            if end.code:
                raise NotAsPromised(f"piecewalk {' '.join(words)}: {said.getvalue().strip()}") from None
        return json.loads(said.getvalue())

    def take(self, file: str) -> Order:
        """Take a job, print its travellers, and read them back."""
        taken = self.command("job", "add", str(self.folder.path / ORDERS / file))
        pdf = self._printed / f"{taken['job']}-travellers.pdf"
        self.command("tickets", taken["job"], "-o", str(pdf))
        return Order(job=taken["job"], file=file, given=tuple(taken["pieces"]), read=_ticket_codes(pdf), travellers=pdf)

    def print_remake(self, job: str, piece: str) -> str:
        """Print one traveller, and read it back."""
        pdf = self._printed / f"{piece}.pdf"
        self.command("tickets", job, "--piece", piece, "-o", str(pdf))
        (code,) = _ticket_codes(pdf)
        return code

    def print_cards(self) -> Cards:
        """Print every card, and read them back. Raises NotAsPromised unless each one reads."""
        pdf = self._printed / "cards.pdf"
        answer = self.command("cards", "-o", str(pdf))
        read = {code for page in read_back(pdf) for code in page.bars}
        missing = [card["name"] for card in answer["cards"] if card["code"] not in read]
        if missing:
            raise NotAsPromised(f"cards that do not read: {', '.join(missing)}")
        shop = self.folder.shop
        return {(shop.cards[code].type, shop.cards[code].name): code for code in read}


def _ticket_codes(pdf: Path) -> tuple[str, ...]:
    """The code on each page: one, in bars, and the same in the QR symbol if there is one."""
    codes: list[str] = []
    for number, page in enumerate(read_back(pdf), start=1):
        if len(page.bars) != 1 or {*page.squares} - {*page.bars}:
            raise NotAsPromised(f"{pdf.name}, page {number}: read {page.bars} in bars and {page.squares} in QR")
        codes += page.bars
    return tuple(codes)
