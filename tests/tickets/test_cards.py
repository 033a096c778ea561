"""Cards say what they are and what scanning them does; every one of them is read."""

from io import BytesIO

import pytest

from shared.codes import CodeType, make, serial_of_name
from shared.words import ENGLISH, Words
from tests.tickets.paper import BARS, QR, pages, pixels, symbols, text_of, words
from tests.tickets.samples import LONG, SCRIPTS
from tests.tickets.test_traveller import cell_of, inside
from tickets.cards import CardKind, PrintedCard, cards
from tickets.kit.paper import CARD_SHEETS, PAPERS, Paper

sheets = pytest.mark.parametrize("sheet", [*CARD_SHEETS.values(), PAPERS["label-100x150"]], ids=lambda s: s.name)


def card(kind: CardKind, title: str, note: str = "What scanning it does.") -> PrintedCard:
    return PrintedCard(
        code=make(CodeType[kind.upper()], serial_of_name(title)),
        kind=kind,
        title=title,
        note=note,
    )


CARDS = [
    card("station", "press 1"),
    card("badge", "A"),
    card("reason", "print head strike"),
    card("command", "undo", "Takes back the last read of this station, up to two minutes later."),
    card("care", "stir white ink"),
    card("station", LONG, LONG + LONG),
    *(card("badge", name) for name in SCRIPTS.values()),
]


def sheet_of(some: list[PrintedCard], sheet: Paper, its_words: Words = ENGLISH) -> bytes:
    out = BytesIO()
    cards(some, sheet, out, its_words)
    return out.getvalue()


@sheets
@pytest.mark.parametrize("dpi", [203, 300])
def test_every_card_is_read_from_its_bars_and_from_its_qr(sheet: Paper, dpi: float) -> None:
    images = [pixels(page, dpi) for page in pages(sheet_of(CARDS, sheet))]
    for kind in (BARS, QR):
        read = [symbol.text for image in images for symbol in symbols(image, kind)]
        assert sorted(read) == sorted(each.code for each in CARDS)


def test_a_card_says_its_kind_its_name_and_what_it_does() -> None:
    said = " ".join(text_of(sheet_of(CARDS[:5], CARD_SHEETS["a4"])).split())
    for words_of_a_card in (
        "station press 1 What scanning it does.",
        "badge A What scanning it does.",
        "reason print head strike What scanning it does.",
        "command undo Takes back the last read",
        "care stir white ink What scanning it does.",
    ):
        assert words_of_a_card in said


def test_a_card_says_its_kind_in_the_language_of_the_sheet() -> None:
    said = " ".join(text_of(sheet_of(CARDS[:5], CARD_SHEETS["a4"], Words("de"))).split())
    for title in ("Platz press 1", "Ausweis A", "Grund print head", "Befehl undo", "Pflege stir"):
        assert title in said


def test_eight_cards_go_on_a_sheet() -> None:
    assert len(pages(sheet_of([*CARDS[:5], *CARDS[:3]], CARD_SHEETS["letter"]))) == 1
    assert len(pages(sheet_of([*CARDS[:5], *CARDS[:4]], CARD_SHEETS["letter"]))) == 2


@sheets
def test_no_word_leaves_its_card(sheet: Paper) -> None:
    for page in pages(sheet_of(CARDS, sheet)):
        found = words(page)
        assert found
        assert [text for text, box in found if not inside(box, cell_of(box, sheet))] == []


def test_the_same_cards_are_the_same_bytes() -> None:
    assert sheet_of(CARDS, CARD_SHEETS["a4"]) == sheet_of(CARDS, CARD_SHEETS["a4"])
