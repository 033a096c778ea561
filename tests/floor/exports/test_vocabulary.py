"""The names of things in an EPCIS document."""

from uuid import UUID

import pytest

from floor.exports.vocabulary import Names, event_id

HASH = "0123456789abcdef" * 4


@pytest.mark.parametrize(
    "base", ["https://prints.example", "http://prints.example:8080/floor", "https://p.example/a/b/"]
)
def test_names_lie_below_the_base_with_one_stroke_between(base: str) -> None:
    assert Names(base).piece("1000000161") == f"{base.rstrip('/')}/piece/1000000161"


@pytest.mark.parametrize(
    "base", ["", "prints.example", "ftp://a.example/", "https://a.example/x y", "https://a.example/?q"]
)
def test_a_base_that_is_no_address_is_refused_with_an_example(base: str) -> None:
    with pytest.raises(ValueError, match=r"expected an address of your own such as https://prints\.example"):
        Names(base)


def test_a_shop_without_an_address_has_names_that_are_nobody_s_and_still_its_own() -> None:
    assert Names.of_shop("Müller & Söhne").piece("1").startswith("https://example.org/piecewalk/M%C3%BCller%20%26%20S")


def test_a_stroke_in_a_name_makes_no_folder() -> None:
    assert Names("https://p.example").station("press 1/2") == "https://p.example/station/press%201%2F2"


def test_an_event_is_named_by_a_uuid_of_version_8_from_its_row_s_hash() -> None:
    name = UUID(event_id(HASH).removeprefix("urn:uuid:"))
    assert name.version == 8
    assert name.variant == "specified in RFC 4122"
    kept = "ffffffff-ffff-0fff-0fff-ffffffffffff"
    assert name.int & UUID(kept).int == UUID(HASH[:32]).int & UUID(kept).int


def test_the_two_halves_of_a_hash_name_two_events() -> None:
    assert event_id("a" * 32 + "b" * 32) != event_id(("a" * 32 + "b" * 32)[32:])
