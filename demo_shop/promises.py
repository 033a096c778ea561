"""What the demo promises, each with how it turned out.

Never passes over one in silence.
"""

from msgspec import Struct

from floor.cli.trouble import NotDone


class NotAsPromised(NotDone):
    """The day cannot go on: something that the demo rests on did not happen."""


class DemoPromise(Struct, frozen=True, kw_only=True):
    """One promise, in a few words, and whether it was kept; `found` says what was there instead."""

    promise: str
    kept: bool
    found: str = ""


def same(promise: str, found: object, wanted: object) -> DemoPromise:
    """A promise that two things are equal."""
    kept = found == wanted
    return DemoPromise(promise=promise, kept=kept, found="" if kept else f"found {found}, promised {wanted}")
