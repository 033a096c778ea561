"""The travellers and cards of a shop: filled from its floor, said in its language."""

from io import BytesIO
from pathlib import Path
from typing import Any

import pytest

from floor.core.orders.jobs import take
from floor.papers.travellers import tickets_of, write_cards, write_travellers
from shared.codes import CodeType, grouped
from shared.files.cards import UNDO
from shared.files.jobfile import parse_job
from shared.files.shop import Shop, parse_shop
from shared.words import LANGUAGES
from tests.making import Play, card, job_data, shop_data
from tests.tickets.paper import BARS, pages, pixels, symbols, text_of
from tickets.kit.paper import PAPERS


def shop_that(**says: Any) -> Shop:
    """A new shop of which the shop file says something more."""
    return parse_shop(shop_data(shop={**shop_data()["shop"], **says}))


def travellers_of(play: Play, stock: str | None = None) -> str:
    """What stands on the travellers of all pieces."""
    out = BytesIO()
    tickets = tickets_of(play.floor, play.shop, Path("no such folder"), play.floor.pieces.values())
    write_travellers(tickets, play.shop, out, stock)
    return " ".join(text_of(out.getvalue()).split())


def cards_of(shop: Shop, paper: str = "a4") -> bytes:
    out = BytesIO()
    write_cards(shop, out, paper)
    return out.getvalue()


def said_on(cards: bytes) -> str:
    return " ".join(text_of(cards).split())


def test_the_travellers_of_a_german_shop_are_german() -> None:
    play = Play(shop_that(language="de"))
    play.job(sizes={"M": 2})
    said = travellers_of(play)
    for word in ("fällig", "Fr. 27. Nov. 2026 09:00", "dunkel", "von 2", "2 Durchgänge", "Abdeckung parchment"):
        assert word in said
    for word in ("due", "Fri 27 Nov", "dark", "of 2", "passes", "cover", "heat press"):
        assert word not in said


@pytest.mark.parametrize("stock", PAPERS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_no_setting_of_a_new_shop_is_cut_on_a_ticket_of_two_sides(language: str, stock: str) -> None:
    play = Play(shop_that(language=language))
    play.job(places=("front", "back"))
    said = travellers_of(play, stock)
    assert said.count("24 g") == 2
    assert "…" not in said


def test_a_stock_that_there_is_not_is_told_with_those_there_are() -> None:
    with pytest.raises(ValueError, match=r"no stock 'papyrus'; there are: label-100x150"):
        write_travellers([], shop_that(), BytesIO(), "papyrus")


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_card_has_the_same_code_in_every_language_and_nothing_on_it_is_cut(language: str, paper: str) -> None:
    cards = cards_of(shop_that(language=language), paper)
    read = [symbol.text for page in pages(cards) for symbol in symbols(pixels(page, 300), BARS)]
    assert sorted(read) == sorted(shop_that().cards)
    assert "…" not in said_on(cards)


def test_a_command_is_called_something_else_in_german_and_keeps_its_code() -> None:
    said = said_on(cards_of(shop_that(language="de")))
    for name in ("Befehl zurücknehmen Nimmt den letzten Scan", "Befehl abmelden", "Befehl Platz steht"):
        assert name in said
    assert grouped(card(CodeType.COMMAND, UNDO)) in said
    for word in ("undo", "sign out", "station down", "station up", "badge", "reason", "command", "Read it"):
        assert word not in said


@pytest.mark.parametrize(
    ("language", "reason_card", "note"),
    [
        ("en", "before or after", "It spoils the piece read here in the last 30 s; else the piece read next."),
        ("en", "before", "It spoils the piece read next, within 30 s."),
        ("de", "before", "Macht das Stück zum Ausschuss, das als Nächstes gescannt wird, binnen 30 s."),
    ],
)
def test_a_reason_card_says_which_piece_it_spoils_in_this_shop(language: str, reason_card: str, note: str) -> None:
    its_shop = shop_that(language=language, reason_card=reason_card)
    assert said_on(cards_of(its_shop)).count(note) == len(its_shop.file.reasons)


@pytest.mark.parametrize(("dpi", "x_mm"), [(203, 0.375), (300, 25.4 * 4 / 300), (600, 25.4 * 8 / 600), (None, 0.375)])
def test_bars_are_as_wide_as_the_printer_of_the_shop_file_wants_them(dpi: int | None, x_mm: float) -> None:
    play = Play(shop_that(**{"printer_dpi": dpi} if dpi else {}))
    play.job()
    out = BytesIO()
    pieces = play.floor.pieces.values()
    write_travellers(tickets_of(play.floor, play.shop, Path(), pieces), play.shop, out)
    [symbol] = symbols(pixels(pages(out.getvalue())[0], 1200), BARS)
    assert (symbol.right + 1 - symbol.left) * 25.4 / 1200 == pytest.approx(90 * x_mm, abs=0.05)


def test_each_place_of_a_piece_has_the_picture_of_its_print_in_the_order_of_its_route() -> None:
    play, data = Play(), job_data(places=("back", "front"))
    for each in data["lines"][0]["prints"]:
        each["artwork"] = f"{each['place']}.png"
    play.record(take(play.floor, play.shop, parse_job(data, play.shop), play.now).facts)
    [ticket] = tickets_of(play.floor, play.shop, Path("shop"), play.floor.pieces.values())
    shown = [(each.place, each.artwork) for each in ticket.prints]
    assert shown == [("back", Path("shop/back.png")), ("front", Path("shop/front.png"))]
    assert list(dict.fromkeys(step.place for step in ticket.steps if step.place)) == ["back", "front"]
