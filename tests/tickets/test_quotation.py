"""A quotation on paper: what a customer reads, on as many pages as it takes."""

from io import BytesIO
from itertools import combinations
from typing import Any

import pytest

from shared.words import ENGLISH, LANGUAGES, Words
from tests.tickets.paper import pages, pixels, text_of, words
from tests.tickets.test_traveller import overprinted
from tickets.kit.box import MM
from tickets.kit.paper import SHEETS
from tickets.quotation import Offer, Quotation, quotation


def offer(design: str = "oars", **wishes: Any) -> Offer:
    about = ["heavy tee, navy", "Printed on: front, back", "Sizes: S × 4, M × 10"]
    return Offer(
        **{"design": design, "about": about, "quantity": "14", "price_each": "$21.50", "price": "$301.00", **wishes}
    )


def quote(*offers: Offer, **wishes: Any) -> Quotation:
    facts = [("Date", "Wed 25 Nov 2026"), ("Valid until", "Fri 25 Dec 2026"), ("Wanted by", "Wed 2 Dec 2026 16:00")]
    known = {"shop": "Kittiwake Print Room", "customer": "Harbour rowing club", "facts": facts, "total": "$301.00"}
    return Quotation(**{**known, "offers": offers or (offer(),), **wishes})


def printed(its_quote: Quotation, paper: str = "a4", its_words: Words = ENGLISH) -> bytes:
    out = BytesIO()
    quotation(its_quote, SHEETS[paper], out, its_words)
    return out.getvalue()


def texts(its_quote: Quotation, paper: str = "a4") -> list[str]:
    """The words of each page, as a reader copies them."""
    return [page.get_textpage().get_text_bounded() for page in pages(printed(its_quote, paper))]


def test_one_page_says_all_that_a_customer_must_know() -> None:
    [page] = texts(quote(note="Prices do not include tax."))
    for fact in (
        *("Kittiwake Print Room", "Quotation", "for Harbour rowing club", "Wed 25 Nov 2026", "Fri 25 Dec 2026"),
        *("Wed 2 Dec 2026 16:00", "oars", "heavy tee, navy", "S × 4, M × 10", "14", "$21.50", "$301.00"),
        *("Total", "Prices do not include tax.", "Page 1 of 1"),
    ):
        assert fact in page


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_sixty_lines_take_more_pages_and_each_line_is_on_one_of_them(paper: str) -> None:
    found = texts(quote(*(offer(f"design no. {n};") for n in range(60))), paper)
    assert len(found) > 1
    for n in range(60):
        assert sum(f"design no. {n};" in page for page in found) == 1
    assert all("Price each" in page for page in found)
    assert [f"Page {n} of {len(found)}" in page for n, page in enumerate(found, start=1)] == [True] * len(found)


@pytest.mark.parametrize("lines", range(8, 16))
def test_the_sum_stands_on_the_page_of_the_last_line(lines: int) -> None:
    last = texts(quote(*(offer(f"design no. {n};") for n in range(lines))))[-1]
    assert "Total" in last
    assert f"design no. {lines - 1};" in last


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(
    "name",
    [
        "Ruderverein Überlingen und Umgebung " * 3,
        "W" * 120,
        "漕艇部のロゴ" * 20,
        "نادي التجديف " * 8,
        "מועדון חתירה",
        "Клуб гребцов",
        "🛶 oars \u202e",
    ],
)
def test_nothing_reaches_the_margin_whatever_the_names(name: str, paper: str) -> None:
    about = [", ".join([name] * 4)] * 3
    one = offer(name, about=about, quantity="5,000", price_each="$1,000,000.00", price="$5,000,000,000.00")
    edge = round(15 * MM * 2)
    for page in pages(printed(quote(one, one, shop=name, customer=name, note="\n".join([name] * 80)), paper)):
        dark = pixels(page, 144)
        assert min(each.min() for each in (dark[:edge], dark[-edge:], dark[:, :edge], dark[:, -edge:])) > 200


def test_so_many_sizes_that_no_page_would_hold_them_are_cut_with_a_sign() -> None:
    sizes = ", ".join(f"size {n} × 1" for n in range(5000))
    found = "".join(texts(quote(offer(about=[sizes]))))
    assert "size 0 × 1" in found
    assert "…" in found
    assert "size 4999" not in found


def test_a_german_quotation_has_german_captions_and_no_english_ones() -> None:
    pdf = printed(quote(), its_words=Words("de"))
    said = text_of(pdf)
    for word in ("Angebot", "für Harbour", "Artikel", "Stücke", "Einzelpreis", "Preis", "Summe", "Seite 1 von 1"):
        assert word in said
    for word in ("Quotation", "for Harbour", "Item", "Pieces", "Price", "Total", "Page"):
        assert word not in said
    assert pages(pdf)[0].pdf.get_metadata_dict()["Title"] == "Angebot für Harbour rowing club"
    assert b"/Lang (de)" in pdf


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_caption_is_cut_or_printed_over_another_in_any_language(language: str) -> None:
    [page] = pages(printed(quote(), "letter", Words(language)))
    found = words(page)
    assert not [text for text, _ in found if "…" in text]
    assert [(a, b) for (a, one), (b, other) in combinations(found, 2) if overprinted(one, other)] == []


def test_an_empty_quotation_is_a_mistake_of_the_program() -> None:
    with pytest.raises(ValueError, match="nothing to offer"):
        printed(Quotation(shop="a", customer="b", facts=[], offers=[], total="0"))


def test_every_font_is_in_the_file_and_its_title_is_what_a_viewer_shows() -> None:
    pdf = printed(quote(offer("漕艇部のロゴ")))
    assert b"Helvetica" not in pdf
    assert pdf.count(b"/FontFile2") >= 3
    assert b"/DisplayDocTitle true" in pdf
    document = pages(pdf)[0].pdf
    assert document.get_metadata_dict()["Title"] == "Quotation for Harbour rowing club"
    assert document.get_metadata_dict()["Author"] == "Kittiwake Print Room"


def test_the_same_quotation_has_the_same_bytes() -> None:
    assert printed(quote()) == printed(quote())


@pytest.mark.parametrize(("paper", "size_mm"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_a_page_has_the_size_of_its_paper(paper: str, size_mm: tuple[float, float]) -> None:
    [page] = pages(printed(quote(), paper))
    assert page.get_size() == pytest.approx([side * MM for side in size_mm], abs=0.01)
