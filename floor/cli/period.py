"""`--since` and `--until`: the period that a command is asked about, the same in all of them.

Never takes a period that ends before it begins.
"""

from datetime import datetime
from functools import partial
from typing import Any

import click

from floor.cli.opening import moment
from floor.cli.trouble import NotDone
from shared.files.shop import Shop


class Respelt(click.Option):
    """An option that is still taken by the name that it once had, which is shown nowhere."""

    def __init__(self, *declarations: Any, once: str, **settings: Any) -> None:
        super().__init__(*declarations, **settings)
        self._once = once

    def add_to_parser(self, parser: Any, ctx: click.Context) -> None:
        """The parser alone knows the old name."""
        shown, self.opts = self.opts, [*self.opts, self._once]
        super().add_to_parser(parser, ctx)
        self.opts = shown


SINCE = partial(click.option, "--since", cls=Respelt, once="--from", metavar="TIME")
UNTIL = partial(click.option, "--until", cls=Respelt, once="--to", metavar="TIME")


def period(since: str | None, until: str | None, shop: Shop) -> tuple[datetime | None, datetime | None]:
    """When it begins and when it ends, UTC; None for an open end. Raises NotDone."""
    begins, ends = moment(since, shop), moment(until, shop)
    if begins and ends and ends <= begins:
        raise NotDone(f"--until {until} is not after --since {since}", found=str(until), do="Ask for a later --until.")
    return begins, ends
