"""A quote as a quotation: what it says to the customer, and what it keeps to itself."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any

import pypdfium2
import pytest

from floor.core.cost.quote import quote_answer, quoted_lines
from floor.papers.quotation import quotation_of, write_quotation
from shared.files.jobfile import parse_job
from shared.files.shop import Shop, parse_shop
from shared.plain import plain
from tests.making import MONDAY, job_data, shop, shop_data
from tests.tickets.paper import text_of
from tickets.quotation import Quotation


def quotation(its_shop: Shop | None = None, now: datetime = MONDAY, **wishes: Any) -> Quotation:
    its_shop = its_shop or shop()
    job = parse_job(job_data(**wishes), its_shop)
    return quotation_of(quoted_lines(job, its_shop), job.customer, job.due_in("America/New_York"), its_shop, now)


def test_each_line_has_its_item_places_sizes_and_prices() -> None:
    [offer] = quotation(sizes={"S": 4, "2XL": 1000}, places=("front", "back")).offers
    assert list(offer.about) == ["heavy tee, navy", "Printed on: front, back", "Sizes: S × 4, 2XL × 1000"]
    assert (offer.quantity, offer.price_each, offer.price) == ("1,004", "$21.50", "$21,586.00")


def test_its_days_are_the_shop_s_own() -> None:
    assert quotation().facts == [
        ("Date", "Mon 23 Nov 2026"),
        ("Valid until", "Wed 23 Dec 2026"),
        ("Wanted by", "Fri 27 Nov 2026 09:00"),
        ("Currency", "USD"),
    ]


def test_it_is_valid_for_whole_days_though_the_clocks_change_meanwhile() -> None:
    its_shop = parse_shop(shop_data(quotation={"valid_days": 1}))
    just_past_midnight = datetime(2026, 11, 1, 4, 15, tzinfo=UTC)
    assert dict(quotation(its_shop, just_past_midnight).facts)["Valid until"] == "Mon 2 Nov 2026"


def test_the_shop_s_note_stands_beneath_the_sum() -> None:
    assert quotation(parse_shop(shop_data(quotation={"note": "Tax comes on top."}))).note == "Tax comes on top."


def test_a_price_with_a_fraction_of_a_cent_is_shown_whole_and_the_lines_add_up() -> None:
    data = job_data(price_each="0.125", sizes={"M": 3})
    data["lines"] *= 3
    job = parse_job(data, shop())
    found = quotation_of(quoted_lines(job, shop()), "Club", MONDAY, shop(), MONDAY)
    assert {(offer.price_each, offer.price) for offer in found.offers} == {("$0.125", "$0.38")}
    assert found.total == "$1.14"


@pytest.mark.parametrize(("currency", "total"), [("EUR", "€21.50"), ("JPY", "¥22"), ("KWD", "KWD21.500")])
def test_money_is_written_as_its_currency_is(currency: str, total: str) -> None:
    its_shop = parse_shop(shop_data(shop={**shop_data()["shop"], "currency": currency}))
    assert quotation(its_shop).total == total


def test_a_german_shop_offers_in_german_with_german_days_and_money() -> None:
    its_shop = parse_shop(shop_data(shop={**shop_data()["shop"], "language": "de", "currency": "EUR"}))
    found = quotation(its_shop, sizes={"S": 4, "2XL": 1000}, places=("front", "back"))
    assert found.facts == [
        ("Datum", "Mo. 23. Nov. 2026"),
        ("Gültig bis", "Mi. 23. Dez. 2026"),
        ("Gewünscht bis", "Fr. 27. Nov. 2026 09:00"),
        ("Währung", "EUR"),
    ]
    [offer] = found.offers
    assert list(offer.about) == ["heavy tee, navy", "Bedruckt: front, back", "Größen: S × 4, 2XL × 1000"]
    assert (offer.quantity, offer.price_each, found.total) == ("1.004", "21,50\xa0€", "21.586,00\xa0€")
    out = BytesIO()
    write_quotation(found, its_shop, "letter", out)
    said = text_of(out.getvalue())
    assert "Angebot" in said
    assert "21,50" in said
    assert "Quotation" not in said


def test_no_cost_is_in_it_anywhere() -> None:
    its_shop = parse_shop(shop_data(prices={**shop_data()["prices"], "margin": "0.637"}))
    job = parse_job(job_data(sizes={"M": 7, "2XL": 3}), its_shop)
    lines = quoted_lines(job, its_shop)
    answer: Any = plain(quote_answer(lines, "USD", its_shop.unit))
    out = BytesIO()
    write_quotation(
        quotation_of(lines, job.customer, MONDAY + timedelta(days=4), its_shop, MONDAY), its_shop, "letter", out
    )
    document = pypdfium2.PdfDocument(out.getvalue())
    said = document[0].get_textpage().get_text_bounded() + str(document.get_metadata_dict())
    secrets = {*answer["cost"].values(), *answer["lines"][0]["each"].values(), answer["margin"]} - {"0.00"}
    assert not [secret for secret in secrets if secret in said]
    assert "cost" not in said.casefold()
    assert "margin" not in said.casefold()
    assert str(Decimal("21.50")) in said
