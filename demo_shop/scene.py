"""What a person sees of the demo: a few words, the wall, the promises.

Never holds up the day but to give a person time to look.
"""

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime, timedelta
from itertools import count

from rich.console import Console, Group
from rich.live import Live
from rich.text import Text

from demo_shop.office import Order
from demo_shop.play import Heard
from demo_shop.promises import DemoPromise
from floor.core.plan.board import Board
from floor.wall.terminal import draw
from shared.files.shop import Shop
from shared.harmless import harmless
from shared.wording import moment

FRAME_S = 0.25
"""Between two pictures of the moving wall on which something has changed: the day then takes about a minute."""
MOVING_EVERY = timedelta(minutes=1)
STILL_AFTER = (timedelta(hours=1, minutes=5), timedelta(hours=2, minutes=20), timedelta(hours=4, minutes=10))
"""In the shop's own time, since its morning began."""
STILL_ROWS = 30
CAPTION_ROWS = 2

See = Callable[[Board, Sequence[Heard]], None]


class Scene:
    """A console, and whether the wall moves on it; a quiet console is shown nothing."""

    def __init__(self, console: Console, *, moving: bool) -> None:
        self._console = console
        self._moving = moving
        self._shown = 0

    def moments(self, morning: datetime) -> Iterator[datetime]:
        """When the wall is to be looked at."""
        after = (n * MOVING_EVERY for n in count(1)) if self._moving else STILL_AFTER
        return (morning + each for each in after)

    def say(self, line: str, style: str = "") -> None:
        """A line of words."""
        self._console.print(Text(harmless(line), style))

    def show_paper(self, orders: Sequence[Order], cards: int) -> None:
        """What was printed, and what could be read of it."""
        for order in orders:
            self.say(f"{order.job}: {len(order.given)} pieces, {order.travellers.name}: {len(order.read)} read back")
        self.say(f"cards.pdf: {cards} read back")
        self.say("What was read (at 203 dpi, by a reader that is not ours) is now typed on virtual scanners.")
        self._pause(4.0)

    @contextmanager
    def wall(self, shop: Shop) -> Iterator[See | None]:
        """The way to show the wall, while it may be shown; None where nobody looks."""
        if self._console.quiet:
            yield None
        elif self._moving:
            with Live(console=self._console, screen=True, auto_refresh=False, redirect_stdout=False) as live:
                yield lambda board, heard: self._move(live, shop, board, heard)
        else:
            yield lambda board, _heard: self._still(shop, board)

    def _move(self, live: Live, shop: Shop, board: Board, heard: Sequence[Heard]) -> None:
        width, height = self._console.size
        rows = max(height - CAPTION_ROWS, 1)
        live.update(Group(draw(board, shop, width, rows), _caption(heard, shop, board, width)), refresh=True)
        if board.seq != self._shown:  # quiet hours pass at once
            self._pause(FRAME_S)
        self._shown = board.seq

    def _still(self, shop: Shop, board: Board) -> None:
        self._console.print()
        self._console.print(draw(board, shop, self._console.width, STILL_ROWS))

    def _pause(self, seconds: float) -> None:
        if self._moving:
            time.sleep(seconds)

    def show_played(self, reads: Mapping[str, int], happened: Mapping[str, int]) -> None:
        """What was played."""
        self.say(f"Played: {sum(reads.values())} reads: {_counts(reads)}.")
        self.say(f"Went wrong on purpose: {', '.join(_times(*each) for each in happened.items())}.")

    def show_promises(self, promises: Sequence[DemoPromise]) -> None:
        """How many were kept, and each that was not."""
        broken = [promise for promise in promises if not promise.kept]
        kept = len(promises) - len(broken)
        self.say(f"The demo checked itself: {kept} of {len(promises)} promises kept.", "bold")
        for promise in broken:
            self.say(f"  broken: {promise.promise}: {promise.found}", "bold")


def _counts(counts: Mapping[str, int]) -> str:
    return ", ".join(f"{number} {what}" for what, number in counts.items())


def _times(what: str, times: int) -> str:
    return what if times == 1 else f"{what} × {times}"


def _caption(heard: Sequence[Heard], shop: Shop, board: Board, width: int) -> Text:
    """The newest read, and the newest that did not go smoothly."""
    newest = heard[-1:]
    odd = next(([each] for each in reversed(heard) if _is_odd(each)), [])
    lines = [_line("now ", each, shop, board, width) for each in newest]
    lines += [_line("last trouble ", each, shop, board, width) for each in odd]
    return Text("\n".join(lines), no_wrap=True)


def _is_odd(heard: Heard) -> bool:
    return heard.answer.outcome in {"refused", "repeated"} or heard.answer.remake is not None


def _line(word: str, heard: Heard, shop: Shop, board: Board, width: int) -> str:
    at = moment(heard.scan.at, board.at, shop.hours.zone)
    return harmless(f"{word}{at} {heard.scan.device}: {heard.answer.outcome}. {heard.answer.say}", width)
