"""The demo as a whole: the shop moves in, takes its jobs, prints and reads its paper, lives a day, closes the week.

Never skips a step that a shop would take, and never hands a code around the paper.
"""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from msgspec import Struct

from demo_shop.day import Day
from demo_shop.mishaps import plan
from demo_shop.office import Office, Order, move_in
from demo_shop.play import Player
from demo_shop.promises import DemoPromise
from demo_shop.racks import Carried
from demo_shop.scene import Scene
from demo_shop.verdict import PlayedThrough, promises
from floor.cli.opening import Folder
from floor.service.service import Service
from shared.clock import SetClock
from shared.files.shop import load_shop

DATE = date(2026, 11, 17)
"""A Tuesday. The jobs are due on the days around it."""
MORNING = time(7, 40)
JOBS = (("boathouse.toml", time(8, 10)), ("lanterns.toml", time(9, 50)), ("tiles.toml", time(11, 45)))
"""The job files, and when the blanks of each are laid out."""


class Outcome(Struct, frozen=True, kw_only=True):
    """What came of a day: what was played, the week's report, and every promise."""

    folder: Folder
    """The shop as the day has left it, by its own clock."""
    seed: int
    week: str
    orders: Sequence[Order]
    cards: int
    reads: dict[str, int]
    """Reads by how they were answered."""
    happened: dict[str, int]
    """Mishaps by name."""
    report: dict[str, Any]
    promises: Sequence[DemoPromise]

    @property
    def good(self) -> bool:
        """Whether every promise was kept."""
        return all(promise.kept for promise in self.promises)


def perform(path: Path, seed: int, scene: Scene) -> Outcome:
    """Play the whole demo in a folder that does not exist yet. Raises NotAsPromised when it cannot go on."""
    move_in(path)
    hours = load_shop(path).hours
    clock = SetClock(datetime.combine(DATE, MORNING, hours.zone))
    office, week = Office(path, clock), hours.week_of(clock.now())
    office.command("init", str(path), "--empty-ledger")
    cards = office.print_cards()
    orders = [office.take(file) for file, _ in JOBS]
    scene.show_paper(orders, len(cards))
    with office.folder.service() as service, Player(service, clock) as player:
        day = Day(player, cards, lambda job, piece: _carried(service, [office.print_remake(job, piece)])[0], seed)
        _lay_out(day, service, orders, seed)
        with scene.wall(service.shop) as see:
            if see is not None:
                day.film(scene.moments(clock.now()), lambda board: see(board, player.heard))
            day.play()
    report = office.command("report", "--week", week)
    played = PlayedThrough(orders=orders, cards=len(cards), day=day, heard=player.heard)
    return Outcome(
        folder=office.folder,
        seed=seed,
        week=week,
        orders=orders,
        cards=played.cards,
        reads=played.outcomes(),
        happened=played.happened(),
        report=report,
        promises=promises(played, office, report),
    )


def _lay_out(day: Day, service: Service, orders: Iterable[Order], seed: int) -> None:
    everything: list[Carried] = []
    for order, (_, at) in zip(orders, JOBS, strict=True):
        pieces = _carried(service, order.read)
        day.bring(pieces, datetime.combine(DATE, at, service.shop.hours.zone))
        everything += pieces
    day.happenings = plan(everything, seed)


def _carried(service: Service, codes: Iterable[str]) -> list[Carried]:
    """Codes that were read from paper, with the job and the route that stand beside them there."""
    with service.reading() as floor:
        pieces = [floor.pieces[code] for code in codes]
        return [Carried(piece.code, piece.job, piece.route, floor.jobs[piece.job].due) for piece in pieces]
