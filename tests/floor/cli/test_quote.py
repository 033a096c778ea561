"""`quote`, as the one who quotes meets it."""

from decimal import Decimal
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from tests.floor.cli.desk import JOB, Desk
from tests.floor.cli.test_commands import ELEMENTS

UNPRICED = JOB.replace('price_each = "21.50"\n', "")
SECOND = """
[[lines]]
design = "oars"
item = "ceramic tile 15 cm"
colour = "white"
sizes = { one = 12 }
price_each = "7.90"
[[lines.prints]]
place = "face"
width_mm = 100
height_mm = 100
[[lines.prints]]
place = "back"
width_mm = 50
height_mm = 50
"""


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


def share(answer: Any) -> Decimal:
    return Decimal(answer["margin_share"])


def test_a_price_s_margin_is_told_for_each_line_and_for_all(desk: Desk) -> None:
    answer = desk.json("quote", "-", stdin=JOB + SECOND)
    for each in (*answer["lines"], answer):
        assert Decimal(each["price"]) - Decimal(each["cost"]["total"]) == Decimal(each["margin"])
        assert list(each["cost"]) == ELEMENTS
    assert share(answer["lines"][0]) > share(answer) > share(answer["lines"][1])


def test_a_margin_s_price_is_told_and_a_cent_less_would_not_do(desk: Desk) -> None:
    asked = desk.json("quote", "-", "--margin", "0.6", stdin=JOB)
    price = Decimal(asked["lines"][0]["price_each"])
    assert share(asked) >= Decimal("0.6")
    for paid, enough in ((price, True), (price - Decimal("0.01"), False)):
        again = desk.json("quote", "-", stdin=JOB.replace("21.50", str(paid)))
        assert (share(again) >= Decimal("0.6")) is enough


def test_a_margin_may_be_asked_for_where_nothing_has_a_price(desk: Desk) -> None:
    assert desk("quote", "-", stdin=UNPRICED).exit_code == 1
    assert share(desk.json("quote", "-", "--margin", "0.6", stdin=UNPRICED)) >= Decimal("0.6")


@pytest.mark.parametrize("margin", ["1", "1.2", "-0.1", "60%", "nan", "inf", "", f"0.{'9' * 40}"])
def test_a_margin_that_no_price_gives_is_wrong_usage(desk: Desk, margin: str) -> None:
    result = desk("quote", "-", "--margin", margin, stdin=JOB)
    assert result.exit_code == 2
    assert "--margin" in result.stderr


def test_the_shop_file_prices_a_line_that_has_no_price_and_the_price_is_frozen_with_the_job(desk: Desk) -> None:
    desk.rewrite('# margin = "0.55"', 'margin = "0.55"')
    taken = desk.json("job", "add", "-", stdin=UNPRICED)["quote"]
    assert share(taken) >= Decimal("0.55")
    desk.rewrite('margin = "0.55"', 'margin = "0.75"')
    assert desk.json("job", "show", "J0001")["quote"] == taken


def test_the_table_shows_dearer_sizes_apart_and_what_each_place_costs(desk: Desk) -> None:
    desk.rewrite("# setup_s = 240", "setup_s = 240")
    shown = desk("quote", "-", stdin=JOB.replace("M = 2", 'M = 2, "2XL" = 1') + SECOND).stdout
    assert "S M" in shown
    assert "2XL" in shown
    assert "In each: face " in shown
    assert ", back " in shown
    assert "setup " in shown
    assert "The whole job: 16 pieces" in shown


def test_a_job_of_one_line_is_shown_once(desk: Desk) -> None:
    assert "The whole job" not in desk("quote", "-", stdin=JOB).stdout


@pytest.mark.parametrize(("paper", "width_pt"), [((), 595), (("--paper", "letter"), 612)])
def test_a_quotation_is_a_pdf_on_the_paper_that_was_named(desk: Desk, paper: tuple[str, ...], width_pt: int) -> None:
    file = desk.folder / "q.pdf"
    result = desk("quote", "-", "--pdf", str(file), *paper, stdin=JOB)
    assert "is in" in result.stderr
    page = pypdfium2.PdfDocument(file)[0]
    assert int(page.get_width()) == width_pt
    assert "$64.50" in page.get_textpage().get_text_bounded()


def test_a_quotation_for_a_margin_offers_the_prices_for_it(desk: Desk) -> None:
    file = desk.folder / "q.pdf"
    asked = desk.json("quote", "-", "--margin", "0.6", "--pdf", str(file), stdin=JOB)
    text = pypdfium2.PdfDocument(file)[0].get_textpage().get_text_bounded()
    assert f"${asked['lines'][0]['price_each']}" in text


def test_a_quotation_may_go_to_standard_output_alone(desk: Desk) -> None:
    assert desk("quote", "-", "--pdf", "-", stdin=JOB).stdout_bytes.startswith(b"%PDF")


def test_a_quotation_that_cannot_be_written_is_not_done(desk: Desk) -> None:
    result = desk("quote", "-", "--pdf", str(desk.folder / "no" / "q.pdf"), stdin=JOB)
    assert result.exit_code == 1
    assert "cannot be written" in result.stderr


def test_a_size_that_the_item_does_not_come_in_is_refused(desk: Desk) -> None:
    result = desk("quote", "-", stdin=JOB.replace("S = 1", "XXL = 1"))
    assert result.exit_code == 1
    assert 'lines[0].sizes: found "XXL"' in result.stderr


def test_where_no_sizes_are_listed_those_at_the_plain_cost_are_named(desk: Desk) -> None:
    desk.rewrite('sizes = ["XS", "S", "M", "L", "XL", "2XL", "3XL"]', "")
    result = desk("quote", "-", stdin=JOB)
    assert result.exit_code == 0
    assert '"heavy tee" lists no sizes' in result.stderr


def test_the_breaks_that_the_shop_file_shows_as_an_example_are_right(desk: Desk) -> None:
    for key in ("[[breaks]]", "margin", "from_pieces", "off", "item", "price_each"):
        desk.rewrite(f"\n# {key}", f"\n{key}")
    many, few = (
        desk.json("quote", "-", stdin=UNPRICED.replace("M = 2", f"M = {pieces}"))["lines"][0] for pieces in (99, 22)
    )
    assert many["price_each"] == "9.90"
    assert Decimal(few["margin_share"]) >= Decimal("0.55")
