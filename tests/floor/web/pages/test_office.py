"""Pieces, papers, presses, care tasks and the week: what the office looks at."""

import re
from datetime import timedelta
from decimal import Decimal
from io import BytesIO

import openpyxl
import pypdfium2
import pytest

from floor.core.orders.jobs import cancel
from shared.codes import CodeType
from tests.floor.web.rig import House, read
from tests.floor.web.visitor import Visitor, shown, walked
from tests.making import card


def pages_of(pdf: bytes) -> list[str]:
    return [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf)]


def test_a_piece_shows_its_walk_and_its_cost(house: House) -> None:
    [piece] = house.job()
    walked(house, piece, stops=5)
    words = shown(Visitor(house).get(f"/pieces/{piece}"))
    for expected in ("pretreat", "pretreat booth", "to come", "Mon 23 Nov 2026 09:01", "garment", "total", "open"):
        assert expected in words, words


def test_a_spoiled_piece_leads_to_its_remake_and_back(house: House) -> None:
    [piece] = house.job()
    house.post(read(1, card(CodeType.REASON, "misprint"), station="inspection"))
    remake = house.post(read(2, piece, station="inspection", after_s=1)).json["answer"]["remake"]
    visitor = Visitor(house)
    assert "Spoiled: misprint" in shown(visitor.get(f"/pieces/{piece}"))
    assert f'href="/pieces/{remake}"' in visitor.get(f"/pieces/{piece}").body.decode()
    assert f'href="/pieces/{piece}"' in visitor.get(f"/pieces/{remake}").body.decode()


@pytest.mark.parametrize("code", ["1000000000", "12", "x", "<b>", "%00", "2000000137", "1" * 400])
def test_a_piece_that_is_not_there_is_said(house: House, code: str) -> None:
    house.job()
    for page in (f"/pieces/{code}", f"/pieces/{code}/ticket.pdf"):
        reply = Visitor(house).get(page)
        assert reply.status == 404
        assert "There is no such piece" in shown(reply)


def test_a_code_as_it_is_printed_leads_to_its_piece_too(house: House) -> None:
    [piece] = house.job()
    assert Visitor(house).get(f"/pieces/{piece[:4]}%20{piece[4:]}").status == 200


def test_travellers_are_printed_for_the_open_pieces(house: House) -> None:
    first, second, third = house.job(3)
    walked(house, first, stops=7)
    reply = Visitor(house).get("/jobs/J0001/travellers.pdf")
    assert reply.headers["content-type"] == "application/pdf"
    texts = pages_of(reply.body)
    assert len(texts) == 2
    [again] = pages_of(Visitor(house).get(f"/pieces/{third}/ticket.pdf").body)
    assert again == texts[1]
    assert second[-2:] in texts[0]


def test_a_finished_job_has_no_travellers(house: House) -> None:
    [piece] = house.job()
    walked(house, piece, stops=7)
    reply = Visitor(house).get("/jobs/J0001/travellers.pdf")
    assert reply.status == 404
    assert b"No piece of it is open" in reply.body


def test_the_presses_show_what_is_in_them_what_is_wet_and_the_caution(house: House) -> None:
    wet, pressed = house.job(2)
    walked(house, wet, stops=4)
    walked(house, pressed, stops=5)
    words = shown(Visitor(house).get("/presses"))
    assert "never bypass a guard" in words
    assert "press 1 ● CLOSED" in words
    assert wet[-2:] in words.partition("Wet")[2]


def test_care_tasks_say_when_they_were_done_and_when_they_are_due(house: House) -> None:
    house.job()
    words = shown(Visitor(house).get("/care"))
    assert "stir white ink" in words
    assert "never" in words
    house.clock.set(house.clock.now() + timedelta(minutes=5))
    house.post(read(1, card(CodeType.CARE, "stir white ink"), station="printer 1", after_s=300))
    assert "stir white ink in time Mon 23 Nov 2026 09:05 Mon 23 Nov 2026 17:05" in shown(Visitor(house).get("/care"))


def test_the_week_has_its_report_as_a_page_as_pdf_and_as_a_workbook(house: House) -> None:
    [piece] = house.job()
    walked(house, piece, stops=7)
    visitor = Visitor(house)
    words = shown(visitor.get("/week"))
    assert "Week 2026-W48" in words
    assert "J0001 Harbour rowing club 1 0" in words
    assert "2026-W48" in " ".join(pages_of(visitor.get("/week/2026-W48/report.pdf").body))
    workbook = openpyxl.load_workbook(BytesIO(visitor.get("/week/2026-W48/report.xlsx").body))
    assert workbook.sheetnames


def test_the_row_of_a_job_adds_up_to_the_margin_that_was_made(house: House) -> None:
    spoiled, given_up, good = house.job(3)
    for piece, stops in ((spoiled, 2), (given_up, 2), (good, 7)):
        walked(house, piece, stops=stops)
    house.post(read(901, card(CodeType.REASON, "misprint"), station="inspection"))
    house.post(read(902, spoiled, station="inspection", after_s=1))
    now = house.clock.now()
    house.service.record(lambda floor: ([cancel(floor, "J0001", "", now)], None))
    names, row, *_ = rows_of(Visitor(house).get("/week").body.decode())
    money = {name: Decimal(re.sub(r"[^0-9.-]", "", cell)) for name, cell in zip(names, row, strict=True) if "." in cell}
    lost = money["Variance"] + money["Spoiled beyond allowance"] + money["Given up"]
    assert money["Margin quoted"] - lost == money["Margin made"]
    assert money["Given up"] > 0


def rows_of(page: str) -> list[list[str]]:
    """The cells of the first table, row by row."""
    rows = re.findall("<tr>(.*?)</tr>", page.partition("<table>")[2], re.DOTALL)
    return [[re.sub("<.*?>", "", cell) for cell in re.findall("<t[hd].*?</t[hd]>", row, re.DOTALL)] for row in rows]


def test_another_week_is_its_own(house: House) -> None:
    [piece] = house.job()
    walked(house, piece, stops=7)
    words = shown(Visitor(house).get("/week/2026-W47"))
    assert "Nothing was finished or spoiled." in words
    assert 'href="/week/2026-W48"' in Visitor(house).get("/week/2026-W47").body.decode()


@pytest.mark.parametrize("week", ["2026-W54", "2026", "x", "<b>", "9999-W52", "0000-W00", "%00", "-1-W1"])
def test_what_is_no_week_is_said(house: House, week: str) -> None:
    for page in (f"/week/{week}", f"/week/{week}/report.pdf", f"/week/{week}/report.xlsx"):
        reply = Visitor(house).get(page)
        assert reply.status == 404
        assert b"There is no such week" in reply.body


def test_the_first_week_of_the_calendar_has_none_before_it(house: House) -> None:
    assert Visitor(house).get("/week/0001-W01").status == 404
