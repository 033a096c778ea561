"""What was most likely meant by a name that nothing has.

Never decides that it was meant: a person does.
"""

from collections.abc import Iterable
from difflib import get_close_matches

from shared.files.tomltext import shortened, shown_text

LIKE = 0.6
"""How like a name must be to another to be proposed: most of its letters in the same order."""
SURE = 0.8
"""The same where names are short: three letters, one of them wrong, may be a slip of many."""


def nearest(name: str, known: Iterable[str], like: float = LIKE) -> str | None:
    """The known name that is most like it, in whatever letters and with whatever white space; None where none is."""
    spelt = {_plain(each): each for each in known}
    near = get_close_matches(_plain(shortened(name)), spelt, n=1, cutoff=like)
    return spelt[near[0]] if near else None


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """A question with a blank before it, to put behind a message; nothing where no known name is like it."""
    near = nearest(name, known)
    return f" Did you mean {shown_text(near)}?" if near else ""


def _plain(name: str) -> str:
    return name.strip().casefold()
