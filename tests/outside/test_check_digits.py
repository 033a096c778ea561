"""MOD 97-10 as ISO/IEC 7064 has it: published examples, and which slips of a typing hand it catches.

Sources: ISO/IEC 7064 (its abstract claims all single substitutions, and all or nearly all transpositions of
digits that are adjacent or one apart); the examples are those of python-stdnum's documentation of the system.
"""

import random
from collections.abc import Iterator
from itertools import pairwise, product

import pytest
from stdnum.iso7064 import mod_97_10

from shared.codes import BadCode, Code, CodeType, make, parse


@pytest.mark.parametrize(
    ("number", "check"),
    [("99991234567890121414", "90"), ("4354111611551114", "31"), ("794", "44"), ("22181321402534321446701611", "35")],
)
def test_the_published_examples_come_out(number: str, check: str) -> None:
    assert mod_97_10.calc_check_digits(number) == check
    assert int(number + check) % 97 == 1


def test_a_published_example_by_hand() -> None:
    assert 97 * 819 + 1 == 79444


@pytest.mark.parametrize("serial", [0, 1, 7, 99, 1234567, 9999999, 10**9 - 1, 10**15 - 1])
def test_every_code_of_ours_leaves_one_when_divided_by_97(serial: int) -> None:
    for type in CodeType:
        assert int(make(type, serial)) % 97 == 1


def misreads(text: str) -> Iterator[str]:
    """Each single digit wrong; two neighbours, or two that are one apart, exchanged; a pair of twins wrong."""
    for n, old in enumerate(text):
        yield from (text[:n] + new + text[n + 1 :] for new in "0123456789" if new != old)
    for n, (a, b) in enumerate(pairwise(text)):
        if a != b:
            yield text[:n] + b + a + text[n + 2 :]
        else:
            yield from (text[:n] + new * 2 + text[n + 2 :] for new in "0123456789" if new != a)
    for n, (a, _, b) in enumerate(zip(text, text[1:], text[2:], strict=False)):
        if a != b:
            yield text[:n] + b + text[n + 1] + a + text[n + 3 :]


def fits(text: str) -> bool:
    """Whether the check digits of a text fit, by the rule alone."""
    return mod_97_10.calc_check_digits(text[:-2]) == text[-2:]


@pytest.mark.parametrize("length", [2, 3])
def test_of_short_numbers_no_single_slip_is_missed(length: int) -> None:
    for digits in product("0123456789", repeat=length):
        body = "".join(digits)
        text = body + mod_97_10.calc_check_digits(body)
        assert fits(text)
        assert [slip for slip in misreads(text) if fits(slip)] == []


def test_of_a_thousand_codes_no_single_slip_is_missed() -> None:
    chance = random.Random(97)
    for _ in range(1000):
        text = make(chance.choice(list(CodeType)), chance.randrange(10**7))
        assert isinstance(parse(text), Code)
        assert [slip for slip in misreads(text) if not isinstance(parse(slip), BadCode)] == []


@pytest.mark.parametrize(
    "prefix", ["]C0", "]C1", "]C2", "]C4", "]Q0", "]Q1", "]Q3", "]A0", "]E0", "]d1", "]L0", "]X0", "]z0"]
)
def test_a_symbology_identifier_is_taken_off(prefix: str) -> None:
    """ISO/IEC 15424: a flag "]", a letter for the symbology, a modifier: C is Code 128, Q is QR, d Data Matrix."""
    assert parse(prefix + make(CodeType.BADGE, 5)) == Code(CodeType.BADGE, 5)


def test_what_only_looks_like_a_symbology_identifier_is_not() -> None:
    for prefix in ("]", "]C", "C0", "]]C0", "]C0]C0", "]é0", "] C0"):
        assert isinstance(parse(prefix + make(CodeType.BADGE, 5)), BadCode)
