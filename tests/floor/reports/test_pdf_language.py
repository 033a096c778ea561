"""The week on paper in the shop's language: its words and its figures, and nothing of ours left in English."""

import re
from decimal import Decimal

import pytest
from msgspec.structs import replace

from floor.core.figures.data import Headline
from shared import wording
from shared.files.shop import Shop, parse_shop
from shared.words import Words
from tests.floor.reports.test_pdf import WEEKS, every_week, on_paper, printed
from tests.floor.reports.test_sheets import a_week
from tests.making import shop_data

NAMES = {
    *("My", "print", "room", "Harbour", "rowing", "club", "North", "school", "Ash"),
    *("pretreat", "underlayer", "inspect", "colour", "cure", "pack"),
    *("banding", "stain", "printer", "press"),
}
"""Those of the shop, its customers, steps, reasons and machines."""
ALIKE = {"USD", "Nov", "Jan", "min", "Median", "in", "was", "still"}
"""Words that both languages have, be it with another meaning."""


def german_shop() -> Shop:
    return parse_shop(shop_data(shop={**shop_data()["shop"], "language": "de"}))


def words_of(text: str) -> set[str]:
    return set(re.findall(r"[^\W\d_]{2,}", text))


@pytest.mark.parametrize("week", [week for week in WEEKS if week != "long names"])
def test_nothing_of_ours_is_left_in_english(week: str) -> None:
    report = replace(WEEKS[week](), headlines=[Headline(at_stake=Decimal(0), say="7")])
    english, german = (words_of(printed(report, language=language).text) for language in ("en", "de"))
    assert len(german) > 30
    assert english & german <= NAMES | ALIKE


def test_titles_notes_and_heads_are_in_the_shops_language() -> None:
    it = on_paper("sixty jobs", language="de")
    for words in (
        "Von der angebotenen zur erzielten Marge",
        "Kostenart angeboten tatsächlich durch Preise durch Mengen Abweichung",
        "Ausschuss über den Zuschlag hinaus",
        "Angeboten und tatsächlich, nach Aufträgen, Fortsetzung",
        "Nasse Zeit und ihre Grenze",
        "niemand angemeldet",
        "Farbe nicht abgelesen 62,1 nicht abgelesen 0 0",
        f"Seite 1 von {len(it.pages)}",
    ):
        assert it.says(words), words


def test_its_title_bookmarks_and_language_are_the_shops() -> None:
    it = on_paper("sixty jobs", language="de")
    assert it.document.get_metadata_dict()["Title"] == "My print room, Woche 2026-W48, Fassung 2"
    marks = [mark.get_title() for mark in it.document.get_toc()]
    assert marks[:2] == ["Woche 2026-W48", "Von der angebotenen zur erzielten Marge"]
    assert b"/Lang (de)" in it.pdf


@every_week
def test_figures_have_the_signs_of_the_language(week: str) -> None:
    it = on_paper(week, language="de")
    total = it.report.total
    for amount in (total.margin_made, total.price):
        assert it.says(wording.money(amount, "USD", "de"))
    said = " ".join(headline.say for headline in it.report.headlines)
    assert set(re.findall(r"\d+\.\d\d\b", it.text)) <= set(re.findall(r"\d+\.\d\d\b", said))


def test_moments_counts_shares_and_axes_are_written_as_the_language_has_them() -> None:
    it = on_paper("sixty jobs", language="de")
    assert it.says("Mo. 23. Nov. 2026 bis So. 29. Nov. 2026")
    assert it.says("J0001 Harbour rowing club Di. 24. Nov. 16:00 Mi. 25. Nov. 22:00")
    assert it.says("1.440 gut, 60 Ausschuss")
    assert it.says("93,3 % der belegten Zeit waren Wertschöpfung")
    assert it.says("Auftrag 10 h 3 Tage")


def test_causes_of_ours_are_translated_and_reasons_of_the_shop_are_not() -> None:
    shop = german_shop()
    it = printed(a_week(shop), language="de")
    ours = [cause for cause in it.report.total.causes if cause != "spoiled: stain"]
    assert ours
    for cause in ours:
        assert it.says(Words("de").say(cause))
        assert not it.says(cause)
    assert it.says("Ausschuss: stain")


def test_headlines_are_in_the_shops_language() -> None:
    it = printed(a_week(german_shop()), language="de")
    assert it.report.says.startswith(
        "J0001: 2,57 USD Verlust über den Ausschusszuschlag hinaus durch 1 Stück Ausschuss"
    )
    assert all(it.says(headline.say) for headline in it.report.headlines)
