"""Frozen quotes of body version 1, whose charges were known by the words that people read: "setup colour front".

Never prices anything anew.
"""

from collections.abc import Collection
from typing import Any

Body = dict[str, Any]
SETUP = "setup "
LOSSES = {"spoilage"}
OF_NO_STEP = {"garment", "overhead"}


def with_keys(added: Body) -> Body:
    """A job as it was taken, its charges known by step, place and set-up."""
    return {**added, "lines": [_line(line) for line in added["lines"]]}


def _line(line: Body) -> Body:
    places = line["places"] if len(line["places"]) > 1 else []
    return {**line, "quoted": {size: _costing(charges, places) for size, charges in line["quoted"].items()}}


def _costing(charges: list[Body], places: Collection[str]) -> list[Body]:
    words = {charge["what"] for charge in charges}
    return [_charge(charge, places, words) for charge in charges]


def _charge(charge: Body, places: Collection[str], words: Collection[str]) -> Body:
    rest = {key: value for key, value in charge.items() if key != "what"}
    what, element = charge["what"], charge["element"]
    if element in OF_NO_STEP:
        return rest
    if element in LOSSES:
        return {**rest, "loss": what}
    # A step may itself be called "setup check": it is one where no step is called "check", for every step has labour.
    label = what.removeprefix(SETUP)
    setup = label != what and label in words
    return {**rest, **_place(label if setup else what, places), **({"setup": True} if setup else {})}


def _place(label: str, places: Collection[str]) -> Body:
    fitting = [place for place in places if label.endswith(f" {place}")]
    place = max(fitting, key=len, default=None)
    return {"step": label} if place is None else {"step": label.removesuffix(f" {place}"), "place": place}
