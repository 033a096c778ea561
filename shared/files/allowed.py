"""What a place of a file allows, in a shop owner's words, and something right to write there.

Never judges a value: pydantic has done that.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any, get_args

from shared.files.near import nearest
from shared.files.tomltext import plain, shortened, shown_scalar
from shared.files.wanted import Wanted, WantedKind, keys_of

UNITS = {"s": "seconds", "mm": "millimetres", "ml": "millilitres", "g": "grams", "pl": "picolitres"}
"""Keys carry their unit at the end: wait_limit_s."""
SECONDS = {"m": 60, "h": 3_600}
"""What people write behind a number where seconds are wanted."""

USUAL_S = {"min_s": 180, "wait_limit_s": 1200, "touch_s": 20, "machine_s": 120}
"""Times of the new shop file, for where nobody can have meant what was written: a cure of 5 s would wash out."""

_BOUNDS = {
    "ge": "at least {}",
    "gt": "above {}",
    "le": "at most {}",
    "lt": "below {}",
    "multiple_of": "a multiple of {}",
    "max_digits": "at most {} digits",
    "decimal_places": "at most {} decimals",
}


def allowed(want: Wanted) -> str:
    """What may stand there: "a number of seconds from 0 to 86400"."""
    return _WORDS[want.kind](want)


def example(want: Wanted, found: Any = None) -> Any:
    """A right value, as near as can be to what was found; None where there is no telling."""
    return _EXAMPLES[want.kind](want, found)


def unit_of(key: str) -> str | None:
    """The unit that a key carries: seconds for wait_limit_s, none for white_ink_per_ml, which is a price."""
    return None if "_per_" in key else UNITS.get(key.rpartition("_")[2])


def _number_words(want: Wanted) -> str:
    unit = unit_of(want.key)
    number = ("a whole number" if want.kind == "whole" else "a number") + (f" of {unit}" if unit else "")
    limits = dict(want.limits)
    if "ge" in limits and "le" in limits:
        number += f" from {plain(limits.pop('ge'))} to {plain(limits.pop('le'))}"
    return ", ".join([number, *(words.format(plain(limits[key])) for key, words in _BOUNDS.items() if key in limits)])


def _text_words(want: Wanted) -> str:
    return ", ".join(["text", *_text_limits(want)])


def _text_limits(want: Wanted) -> Iterator[str]:
    least, most = want.limits.get("min_length", 0), want.limits.get("max_length")
    if least:
        yield "not empty" if least == 1 else f"at least {least} characters"
    if most is not None:
        yield f"at most {most} characters"
    if "pattern" in want.limits:
        yield f"of the form {want.limits['pattern']}"


def _list_words(want: Wanted) -> str:
    entries = [allowed(part) for part in want.parts]
    if len(entries) > 1:
        return f"a list of {len(entries)}: {', '.join(entries)}"
    return f"a list{_count_words(want)}" + "".join(f", each {entry}" for entry in entries)


def _table_words(want: Wanted) -> str:
    if want.model is not None:
        return f"a table with the keys {', '.join(keys_of(want.model))}"
    return f"a table{_count_words(want)}" + "".join(f", each {allowed(value)}" for value in want.parts[1:])


def _count_words(want: Wanted) -> str:
    least, most = want.limits.get("min_length", 0), want.limits.get("max_length")
    return (f" of {least} or more" if least else "") + (f", at most {most}" if most is not None else "")


def _choice_words(want: Wanted) -> str:
    return " or ".join(shown_scalar(choice) for choice in get_args(want.type))


def _either_words(want: Wanted) -> str:
    return " or ".join(dict.fromkeys(allowed(branch) for branch in want.parts))


def _text_example(want: Wanted, found: Any) -> str:
    """What is no text does not become right by quotes where there is a usual text."""
    if isinstance(want.default, str) and want.default and not isinstance(found, str | None):
        return want.default
    return "…" if found is None or isinstance(found, str | list | dict) else shortened(shown_scalar(found))


def _flag_example(_want: Wanted, found: Any) -> bool:
    return _said(found) not in {"false", "no", "off", "0"}


def _either_example(want: Wanted, found: Any) -> Any:
    return next((right for branch in want.parts if (right := example(branch, found)) is not None), None)


def _nearest_choice(want: Wanted, found: Any) -> Any:
    choices = {str(choice): choice for choice in get_args(want.type)}
    near = nearest(_said(found), choices)
    return choices[near] if near else next(iter(choices.values()))


def _list_example(want: Wanted, found: Any) -> list[Any] | None:
    if isinstance(found, str) and want.parts and want.parts[0].kind == "text":
        return [shortened(found)]
    entries = [example(part, None if isinstance(found, list | dict) else found) for part in want.parts]
    return None if None in entries else entries or None


def _table_example(want: Wanted, _found: Any) -> dict[Any, Any] | None:
    key, value = map(example, want.parts) if len(want.parts) == 2 else (None, None)
    return None if key is None or value is None else {key: value}


def _number_example(want: Wanted, found: Any) -> Decimal | int | None:
    guesses = (guess if want.kind == "number" else int(guess) for guess in _guesses(want, found))
    return next((guess for guess in guesses if _within(guess, want)), None)


def _guesses(want: Wanted, found: Any) -> Iterator[Decimal]:
    """Numbers that may have been meant, the likeliest first."""
    limits, meant = want.limits, _number_in(found, want.key)
    if meant is not None and (meant >= 0 or want.key not in USUAL_S):
        yield meant
        yield abs(meant)  # a sign before an amount is a slip
        if limits.get("lt", limits.get("le")) == 1:
            yield meant / 100  # 3 for a share is three percent
        yield max(min(meant, Decimal(str(limits.get("le", meant)))), Decimal(str(limits.get("ge", meant))))
    if want.default:
        yield Decimal(str(want.default))
    if want.key in USUAL_S:
        yield Decimal(USUAL_S[want.key])
    yield from (Decimal(1), Decimal("0.5"), *(Decimal(str(limits[end])) for end in ("ge", "le") if end in limits))


def _number_in(found: Any, key: str) -> Decimal | None:
    """The number in what was written, in seconds where those are wanted: 6m is 360 in min_s."""
    match = re.search(r"(-?[0-9]{1,12}(?:[.,][0-9]{1,6})?)\s*([a-z]?)", _said(found))
    if match is None:
        return None
    factor = SECONDS.get(match[2], 1) if unit_of(key) == "seconds" else 1
    return Decimal(match[1].replace(",", ".")) * factor


def _said(found: Any) -> str:
    """What was found, as far as there may be a hint in it: short, in small letters; nothing for lists and tables."""
    text = found if isinstance(found, str) else "" if isinstance(found, list | dict) else shown_scalar(found)
    return shortened(text).lower()


def _within(number: Decimal | int, want: Wanted) -> bool:
    limits = want.limits
    return (
        number >= limits.get("ge", number)
        and number <= limits.get("le", number)
        and ("gt" not in limits or number > limits["gt"])
        and ("lt" not in limits or number < limits["lt"])
        and not ("multiple_of" in limits and number % Decimal(str(limits["multiple_of"])))
    )


_WORDS: Mapping[WantedKind, Callable[[Wanted], str]] = {
    "whole": _number_words,
    "number": _number_words,
    "text": _text_words,
    "flag": lambda _: "true or false",
    "date": lambda _: "a date",
    "moment": lambda _: "a date and time",
    "time": lambda _: "a time of day",
    "choice": _choice_words,
    "either": _either_words,
    "list": _list_words,
    "table": _table_words,
    "other": lambda _: "another kind of value",
}
_EXAMPLES: Mapping[WantedKind, Callable[[Wanted, Any], Any]] = {
    "whole": _number_example,
    "number": _number_example,
    "text": _text_example,
    "flag": _flag_example,
    "date": lambda *_: date(2026, 12, 2),
    "moment": lambda *_: datetime(2026, 12, 2, 16),  # noqa: DTZ001 - the shop's own time
    "time": lambda *_: time(16),
    "choice": _nearest_choice,
    "either": _either_example,
    "list": _list_example,
    "table": _table_example,
    "other": lambda *_: None,
}
