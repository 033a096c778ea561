"""A step's settings in the words of an operator, in the shop's language: 165 °C, 180 s, 24 g, cover parchment.

Never leaves a unit out: it stands at the end of the key.
"""

import re
from collections.abc import Iterator

from babel.numbers import get_decimal_symbol

from shared.route import Step
from shared.words import ENGLISH, Words

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


def settings_words(step: Step, words: Words = ENGLISH) -> tuple[str, ...]:
    """What the operator sets at a step, in the order of the shop file, then the grams and the least time."""
    return tuple(_words(step, words))


def _words(step: Step, words: Words) -> Iterator[str]:
    yield from (setting_words(key, value, words) for key, value in step.settings.items())
    if step.uses.pretreat_g:
        yield f"{number(f'{step.uses.pretreat_g.normalize():f}', words)} g"
    if step.min_s:
        yield f"{number(f'{step.min_s:g}', words)} s"


def setting_words(key: str, value: str, words: Words = ENGLISH) -> str:
    """One setting: a number before its word (2 passes), a word after it (cover parchment).

    A name that a new shop file has is said in the shop's language; any other is the shop's own.
    """
    name, _, unit = key.rpartition("_")
    if name and unit in UNITS:
        amount = f"{number(value, words)} {UNITS[unit]}"
        return amount if name in SPEAKS_FOR_ITSELF else f"{words.say(_spaced(name))} {amount}"
    if key == "passes" and value == "1":
        return words.say("1 pass")
    word = words.say(_spaced(key))
    return f"{value} {word}" if value.isdigit() else f"{word} {value}".strip()


def number(value: str, words: Words) -> str:
    """A number with the decimal sign of a language; what is no such number stays as it is."""
    return value.replace(".", get_decimal_symbol(words.language)) if re.fullmatch(r"\d+\.\d+", value) else value


def _spaced(key: str) -> str:
    return key.replace("_", " ")
