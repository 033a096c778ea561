"""A step's settings in the words of an operator: 165 °C, 180 s, 24 g, cover parchment.

Never leaves a unit out: it stands at the end of the key.
"""

from collections.abc import Iterator
from decimal import Decimal

from shared.route import Step

UNITS = {
    "c": "°C",
    "f": "°F",
    "s": "s",
    "g": "g",
    "ml": "ml",
    "mm": "mm",
    "cm": "cm",
    "in": "in",
    "bar": "bar",
    "kpa": "kPa",
    "psi": "psi",
    "pct": "%",
    "dpi": "dpi",
}
SPEAKS_FOR_ITSELF = {"temperature", "pretreat", "time", "dwell"}
"""Names that need not be said, since the unit says it."""


def settings_words(step: Step) -> tuple[str, ...]:
    """What the operator sets at a step, in the order of the shop file, then the grams and the least time."""
    return tuple(_words(step))


def _words(step: Step) -> Iterator[str]:
    yield from (setting_words(key, value) for key, value in step.settings.items())
    if step.uses.pretreat_g:
        yield f"{_number(step.uses.pretreat_g)} g"
    if step.min_s:
        yield f"{step.min_s:g} s"


def setting_words(key: str, value: str) -> str:
    """One setting: a number before its word (2 passes), a word after it (cover parchment)."""
    name, _, unit = key.rpartition("_")
    if name and unit in UNITS:
        amount = f"{value} {UNITS[unit]}"
        return amount if name in SPEAKS_FOR_ITSELF else f"{name.replace('_', ' ')} {amount}"
    word = key.replace("_", " ")
    if word == "passes" and value == "1":
        return "1 pass"
    return f"{value} {word}" if value.isdigit() else f"{word} {value}".strip()


def _number(amount: Decimal) -> str:
    return f"{amount.normalize():f}"
