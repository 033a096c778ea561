"""What a scanner reads, and what a person keys in, becomes the code it stands for or a line that says why not."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.codes import BadCode, Code, CodeType, grouped, make, parse, serial_of_name
from shared.words import ENGLISH

types = st.sampled_from(CodeType)
serials = st.integers(0, 10**15 - 1)
noise = st.text("\x00\x02\x03\t\r\n \x1d\u00a0")
prefixes = st.sampled_from(["", "]C0", "]C1", "]Q1", "]d2"])

PIECE_1 = make(CodeType.PIECE, 1)


def wrong(text: str) -> str:
    read = parse(text)
    assert isinstance(read, BadCode)
    return read.wrong


@given(types, serials)
def test_a_code_reads_back_as_what_it_was_made_for(type: CodeType, serial: int) -> None:
    assert parse(make(type, serial)) == Code(type, serial)


@given(types, serials)
def test_a_code_is_an_even_number_of_ascii_digits_ten_at_least(type: CodeType, serial: int) -> None:
    text = make(type, serial)
    assert text.isascii()
    assert text.isdigit()
    assert len(text) >= 10
    assert len(text) % 2 == 0


@given(types, serials)
def test_a_code_knows_its_digits(type: CodeType, serial: int) -> None:
    assert Code(type, serial).text == make(type, serial)


@given(types, serials, prefixes, noise, noise, noise)
def test_prefix_white_space_and_control_characters_do_no_harm(
    type: CodeType, serial: int, prefix: str, before: str, between: str, after: str
) -> None:
    assert parse(before + prefix + between + make(type, serial) + after) == Code(type, serial)


@given(types, serials)
def test_the_printed_form_can_be_keyed_in(type: CodeType, serial: int) -> None:
    printed = grouped(make(type, serial))
    assert parse(printed) == parse(printed.replace(" ", "-")) == Code(type, serial)


def test_people_read_groups_of_four() -> None:
    assert grouped("1000000161") == "1000 0001 61"


@given(st.text())
def test_no_text_whatever_stops_the_reader(text: str) -> None:
    assert isinstance(parse(text), Code | BadCode)


@given(st.text("0123456789 -]C\r\n", max_size=30))
def test_whatever_reads_as_a_code_is_one_that_we_would_print(text: str) -> None:
    read = parse(text)
    if isinstance(read, Code):
        assert read.text in "".join(char for char in text if char.isdigit())


@given(st.text(max_size=200))
def test_what_is_said_of_a_bad_read_is_one_short_line_that_cannot_drive_a_terminal(text: str) -> None:
    read = parse(text)
    if isinstance(read, BadCode):
        assert str(read).isprintable()
        assert len(str(read)) < 160


@pytest.mark.parametrize(
    "text",
    [
        "",
        " \r\n",
        "J0001",
        "10000001X1",
        "-1000000161",
        "1000000161-",
        "]C0",
        "]]C01000000161",
        "10000.00161",
        "\ud800",
    ],
)
def test_what_has_more_than_digits_is_not_a_code(text: str) -> None:
    assert wrong(text) == "not a code"


@pytest.mark.parametrize("digits", ["１０００００0161", "١٠٠٠٠٠٠١٦١", "100000016\u00b2"])
def test_digits_of_other_scripts_are_not_digits_of_a_code(digits: str) -> None:
    assert wrong(digits) == "not a code"


@pytest.mark.parametrize("digits", ["1", PIECE_1[:-1], PIECE_1[:-2], PIECE_1 + "0", "1" * 20])
def test_a_read_that_lost_or_gained_digits_has_the_wrong_length(digits: str) -> None:
    assert wrong(digits) == "wrong length"


def test_a_serial_with_more_digits_than_it_needs_is_refused_so_that_a_piece_has_one_code_alone() -> None:
    padded = "1000000001"
    assert wrong(padded + f"{98 - int(padded) * 100 % 97:02d}") == "wrong length"


@pytest.mark.parametrize("place", range(10))
def test_any_digit_misread_shows(place: int) -> None:
    other = str((int(PIECE_1[place]) + 1) % 10)
    assert wrong(PIECE_1[:place] + other + PIECE_1[place + 1 :]) == "check digits"


def test_check_digits_that_fit_only_modulo_97_are_refused() -> None:
    """98 and 01 leave the same remainder, but only 02 to 98 are check digits."""
    serial = next(n for n in range(1000) if make(CodeType.PIECE, n).endswith("98"))
    assert wrong(make(CodeType.PIECE, serial)[:-2] + "01") == "check digits"


@pytest.mark.parametrize("type", [0, 7, 8, 9])
def test_a_type_that_nobody_prints_is_said_to_be_unknown(type: int) -> None:
    body = f"{type}0000001"
    read = parse(body + f"{98 - int(body) * 100 % 97:02d}")
    assert isinstance(read, BadCode)
    assert read.wrong == "unknown type"
    assert all(f"{type:d} {type.name.lower()}" in str(read) for type in CodeType)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (" ", "a read of nothing is not a code: a code has digits only"),
        ("{code}", '"{code}" is not a code: a code has digits only'),
        ("12345", '"12345" has 5 digits: a code has an even number of them, 10 to 18'),
        ("1000000162", "1000 0001 62 was misread: the check digits do not fit"),
    ],
)
def test_a_bad_read_is_said_in_a_sentence_that_another_language_may_put_its_own_way(text: str, said: str) -> None:
    read = parse(text)
    assert isinstance(read, BadCode)
    assert str(read) == ENGLISH.say(read.say, **read.values) == said


@pytest.mark.parametrize("serial", [-1, 10**15])
def test_a_serial_out_of_range_is_a_programming_error(serial: int) -> None:
    with pytest.raises(ValueError, match="serial"):
        make(CodeType.PIECE, serial)


@given(st.text(min_size=1))
def test_a_card_keeps_its_serial_however_its_name_is_typed(name: str) -> None:
    serial = serial_of_name(name)
    assert 0 <= serial < 10**7
    assert serial == serial_of_name(f"  {name}\t") == serial_of_name(unicodedata.normalize("NFC", name))


def test_cards_that_hang_on_the_wall_stay_good() -> None:
    """Changing how a serial is made would silently void every printed card."""
    assert serial_of_name("press 1") == serial_of_name("Press 1") == 7207641
    assert serial_of_name("Säurebad") == serial_of_name("SA\u0308UREBAD") != serial_of_name("Saurebad")


def test_names_that_differ_have_serials_that_differ_in_a_shop_of_a_hundred() -> None:
    assert len({serial_of_name(f"station {n}") for n in range(100)}) == 100
