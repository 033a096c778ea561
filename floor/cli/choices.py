"""Options that take one of a few words, and what to say of a name that nothing has.

Never guesses: what is like it is named, and nothing is done.
"""

from collections.abc import Iterable
from typing import Any

import click

from floor.cli.trouble import NotDone
from shared.files.near import did_you_mean


class OneOf(click.Choice[str]):
    """A choice that is made in capital or small letters, and names the word that is most like a wrong one."""

    def __init__(self, words: Iterable[str]) -> None:
        super().__init__([*words], case_sensitive=False)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The word as we write it."""
        try:
            return super().convert(value, param, ctx)
        except click.BadParameter as error:
            self.fail(f"{error.message}{did_you_mean(str(value), self.choices)}", param, ctx)


def no_such(kind: str, name: str, known: Iterable[str], see: str = "") -> NotDone:
    """There is none of that name: the one that is most like it, and all that there are, or where they are to `see`."""
    names = [*known]
    all_of_them = ", ".join(names) or "none"
    do = see or f"{kind.capitalize()}s here: {all_of_them}."
    return NotDone(
        f"There is no {kind} {name!r}",
        found=name,
        allowed="" if see else all_of_them,
        do=f"{did_you_mean(name, names)} {do}".strip(),
    )
