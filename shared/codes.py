"""Scan codes: what stands on a ticket or a card as bars and digits; made here, and read back here.

Never knows what a code stands for: that a piece or a station exists is for the floor to say.
"""

import re
import unicodedata
from collections.abc import Mapping
from enum import IntEnum
from functools import lru_cache
from hashlib import sha256
from typing import Literal

from msgspec import Struct
from stdnum.iso7064 import mod_97_10

SERIAL_DIGITS_MIN = 7
SERIAL_DIGITS_MAX = 15
"""At 1,000 pieces a day seven digits last 27 years; fifteen still leave the bars narrower than a label."""
SERIALS_OF_NAMES = 10**7


class CodeType(IntEnum):
    """What a code stands for: its first digit."""

    PIECE = 1
    STATION = 2
    BADGE = 3
    REASON = 4
    COMMAND = 5
    CARE = 6


class Code(Struct, frozen=True):
    """A code that was read: its type, and the number of the thing among those of its type."""

    type: CodeType
    serial: int

    @property
    def text(self) -> str:
        """Its digits, check digits included, as they stand in the bars."""
        return make(self.type, self.serial)


class BadCode(Struct, frozen=True):
    """A read that is no code of ours: how to tell a person, what was read, and which of four things is wrong."""

    say: str
    """The sentence in English, to be said in the shop's language; its {names} stand for `values`."""
    text: str
    wrong: Literal["not a code", "wrong length", "check digits", "unknown type"]
    values: Mapping[str, object] = {}

    def __str__(self) -> str:
        return self.say.format(**self.values)


def make(type: CodeType, serial: int) -> str:
    """The digits of a code: type, serial of seven digits or more, two check digits by ISO/IEC 7064 MOD 97-10.

    The serial gets an odd count of digits, so that the whole has an even one and Code 128 packs it in pairs.
    Raises ValueError for a serial below 0 or of more than fifteen digits.
    """
    if not 0 <= serial < 10**SERIAL_DIGITS_MAX:
        raise ValueError(f"serial {serial}: it must be from 0 to {10**SERIAL_DIGITS_MAX - 1}")
    digits = f"{serial:0{SERIAL_DIGITS_MIN}d}"
    odd = digits if len(digits) % 2 else f"0{digits}"
    body = f"{int(type)}{odd}"
    return body + _check_digits(body)


@lru_cache(4_096)
def _check_digits(body: str) -> str:
    """They are a fifth of the work of a decision, and a piece is read at each of its steps."""
    return str(mod_97_10.calc_check_digits(body))


_NOISE = r"[\s\x00-\x1f\x7f-\x9f]*+"
_AIM_PREFIX = r"(?:\][A-Za-z][0-9A-Za-z])?+"
_READ = re.compile(rf"{_NOISE}{_AIM_PREFIX}{_NOISE}([0-9]++(?:[ -]++[0-9]++)*+){_NOISE}")
"""Every repeat is possessive: the time to refuse a text grows with its length and no faster."""
_GROUPING = str.maketrans("", "", " -")
_TYPES = {int(type): type for type in CodeType}


def parse(text: str) -> Code | BadCode:
    """What a scanner read, or a person keyed in, as a code; or what is wrong with it.

    An AIM symbology prefix (ISO/IEC 15424, such as "]C0"), white space and control characters around the
    code, and spaces or hyphens between its groups do no harm. Never raises.
    """
    read = _READ.fullmatch(text)
    if not read:
        return _not_a_code(text)
    digits = read[1].translate(_GROUPING)
    if len(digits) % 2 or not SERIAL_DIGITS_MIN + 3 <= len(digits) <= SERIAL_DIGITS_MAX + 3:
        return _wrong_length(digits)
    return _checked(digits)


def _not_a_code(text: str) -> BadCode:
    if shown := _shown(text):
        return BadCode("{code} is not a code: a code has digits only", text, "not a code", {"code": shown})
    return BadCode("a read of nothing is not a code: a code has digits only", text, "not a code")


def _wrong_length(digits: str) -> BadCode:
    say = "{code} has {count} digits: a code has an even number of them, {least} to {most}"
    values = {"count": len(digits), "least": SERIAL_DIGITS_MIN + 3, "most": SERIAL_DIGITS_MAX + 3}
    return BadCode(say, digits, "wrong length", {"code": _shown(digits), **values})


def _checked(digits: str) -> Code | BadCode:
    values = {"code": grouped(digits)}
    if digits[-2:] != _check_digits(digits[:-2]):
        return BadCode("{code} was misread: the check digits do not fit", digits, "check digits", values)
    type = _TYPES.get(int(digits[0]))
    if type is None:
        say = (
            "{code} is of an unknown type: the first digit is 1 piece, 2 station, 3 badge, 4 reason, 5 command, 6 care"
        )
        return BadCode(say, digits, "unknown type", values)
    if len(digits) > SERIAL_DIGITS_MIN + 3 and digits.startswith("00", 1):
        return BadCode("{code} is too long: its number needs fewer digits", digits, "wrong length", values)
    return Code(type, int(digits[1:-2]))


def grouped(text: str) -> str:
    """A code as it is printed for people, in groups of four: "1000 0001 37"."""
    return " ".join(text[n : n + 4] for n in range(0, len(text), 4))


def serial_of_name(name: str) -> int:
    """A seven-digit serial that hangs on a name alone, so that a printed card outlives any change of a file.

    The name is trimmed, casefolded and brought to Unicode form NFC first. Two names may share a serial:
    whoever hands out cards must look.
    """
    folded = unicodedata.normalize("NFD", name.strip()).casefold()
    plain = unicodedata.normalize("NFC", folded)
    digest = int.from_bytes(sha256(plain.encode()).digest(), "big")
    return digest % SERIALS_OF_NAMES


def _shown(text: str) -> str:
    """A text as it may be shown to a person: in quotes, not long, nothing in it that could drive a terminal.

    Nothing where there is nothing to be seen of it.
    """
    plain = "".join(char if char.isprintable() else " " for char in text[:100]).strip()
    if not plain:
        return ""
    return f'"{plain[:23]}…"' if len(plain) > 24 else f'"{plain}"'
