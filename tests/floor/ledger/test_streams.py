"""The names that a shell completes, as a ledger on a disk and one on a server give them."""

from collections.abc import Callable

from floor.ledger import Ledger
from floor.ledger.streams import begun_with
from tests.floor.ledger.facts import append, assumed

KIND = "step assumed"


def test_streams_are_found_by_how_they_begin_the_latest_first_and_no_more_than_asked(
    url: str, opened: Callable[[str], Ledger]
) -> None:
    ledger = opened(url)
    append(ledger, *(assumed(piece=piece) for piece in ("1000000137", "1000000144", "2000000137")))
    append(ledger, assumed(1, piece="1000000137"))  # not how it began
    assert begun_with(url, KIND, "10", 9) == ["1000000144", "1000000137"]
    assert begun_with(url, KIND, "", 2) == ["2000000137", "1000000144"]
    assert begun_with(url, "piece opened", "", 9) == []


def test_letters_that_sql_gives_a_meaning_are_letters(url: str, opened: Callable[[str], Ledger]) -> None:
    append(opened(url), assumed(piece="1%_/7"), assumed(piece="100007"))
    assert begun_with(url, KIND, "1%_/", 9) == ["1%_/7"]
    assert begun_with(url, KIND, "1_", 9) == []
