"""The record of a cure on paper: one page, whatever the names and however many the rows."""

from io import BytesIO
from typing import Any

import pytest

from shared.words import ENGLISH, LANGUAGES, Words
from tests.tickets.paper import BARS, QR, pages, pixels, symbols, text_of
from tickets.cure_record import CureRecord, PressStay, Proof, cure_record
from tickets.kit.box import MM
from tickets.kit.paper import SHEETS

CODE = "1000000161"
ASKED = ("Press", "Closed", "Held")


def stay(name: str = "cure", press: str = "press 1") -> PressStay:
    return PressStay(name=name, facts=(press, "Mon 23 Nov 2026 09:12:00 -05:00", "240 s (4 min 00 s)"))


def proof(row: int = 26, what: str = "cure: closed", where: str = "press 1, by A, press gun") -> Proof:
    return Proof(row=row, what=what, at="Mon 23 Nov 2026 09:12:00 -05:00", where=where, hash="0123456789abcdef" * 4)


def record(**wishes: Any) -> CureRecord:
    known: dict[str, Any] = {
        "shop": "Kittiwake Print Room",
        "code": CODE,
        "made": "made Wed 25 Nov 2026 13:13",
        "facts": [("Job", "J0001"), ("Customer", "Harbour rowing club")],
        "lots": "pretreat L100",
        "asked": ASKED,
        "stays": [stay()],
        "proofs": [proof()],
        "verified": "All 69 rows of the ledger were verified.",
    }
    return CureRecord(**{**known, **wishes})


def printed(its_record: CureRecord, paper: str = "a4", its_words: Words = ENGLISH) -> bytes:
    out = BytesIO()
    cure_record(its_record, SHEETS[paper], out, its_words)
    return out.getvalue()


def test_the_page_says_what_was_recorded_and_what_it_does_not_certify() -> None:
    text = " ".join(text_of(printed(record())).split())
    for words in (
        *("Kittiwake Print Room", "Record of a cure", "1000 0001 61", "J0001", "Harbour rowing club", "pretreat L100"),
        *("press 1", "Mon 23 Nov 2026 09:12:00 -05:00", "240 s (4 min 00 s)", "row 26", "cure: closed", "press gun"),
        *("0123456789abcdef" * 4, "All 69 rows of the ledger were verified."),
        "It does not certify that the print is fast to washing",
    ):
        assert words in text


def test_a_german_record_has_german_captions_and_no_english_ones() -> None:
    pdf = printed(record(proofs=[proof(1_026)]), its_words=Words("de"))
    said = " ".join(text_of(pdf).split())
    for word in ("Nachweis einer Fixierung", "Chargen", "Im Journal", "Zeile 1.026", "weder, dass der Druck waschfest"):
        assert word in said
    for word in ("Record of", "Lots", "row 1", "certify"):
        assert word not in said
    assert pages(pdf)[0].pdf.get_metadata_dict()["Title"] == f"Fixierung von Stück {CODE}"


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("language", LANGUAGES)
def test_what_it_does_not_certify_is_whole_in_every_language(language: str, paper: str) -> None:
    assert "…" not in text_of(printed(record(), paper, Words(language)))


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_code_can_be_scanned_from_the_page(paper: str) -> None:
    [page] = pages(printed(record(), paper))
    image = pixels(page, 300)
    assert [each.text for kind in (BARS, QR) for each in symbols(image, kind)] == [CODE, CODE]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(
    "name",
    ["W" * 120, "Ruderverein Überlingen und Umgebung " * 3, "漕艇部のロゴ" * 14, "نادي التجديف " * 8, "🛶 \u202e"],
)
def test_long_names_and_many_rows_stay_on_one_page_within_its_margins(name: str, paper: str) -> None:
    full = record(
        shop=name,
        facts=[(word, name) for word in ("Job", "Customer", "Design", "Item", "State", "Remake of")],
        lots=name * 4,
        stays=[stay(name, name)] * 4,
        proofs=[proof(1_000_000 + n, name, name) for n in range(24)],
        verified=name * 3,
    )
    [page] = pages(printed(full, paper))
    dark, edge = pixels(page, 144), round(15 * MM * 2)
    assert min(each.min() for each in (dark[:edge], dark[-edge:], dark[:, :edge], dark[:, -edge:])) > 200
    assert text_of(printed(full, paper)).count("0123456789abcdef" * 4) == 24


def test_every_font_is_in_the_file_and_its_title_is_what_a_viewer_shows() -> None:
    pdf = printed(record(shop="漕艇部"))
    assert b"Helvetica" not in pdf
    assert pdf.count(b"/FontFile2") >= 3
    document = pages(pdf)[0].pdf
    assert document.get_metadata_dict()["Title"] == f"Cure of piece {CODE}"


def test_the_same_record_has_the_same_bytes() -> None:
    assert printed(record()) == printed(record())


@pytest.mark.parametrize(("paper", "size_mm"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_the_page_has_the_size_of_its_paper(paper: str, size_mm: tuple[float, float]) -> None:
    [page] = pages(printed(record(), paper))
    assert page.get_size() == pytest.approx([side * MM for side in size_mm], abs=0.01)
