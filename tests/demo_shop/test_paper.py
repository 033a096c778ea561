"""Paper is read by a reader that knows nothing of us."""

from pathlib import Path

import pytest
from reportlab.graphics.barcode.code128 import Code128
from reportlab.pdfgen.canvas import Canvas

from demo_shop.office import _ticket_codes
from demo_shop.paper import Page, read_back
from demo_shop.promises import NotAsPromised
from tests.demo_shop.conftest import PlayedDay

MM = 72 / 25.4


def paper(path: Path, pages: list[list[str]]) -> Path:
    """A PDF with codes on its pages, drawn by another hand than ours."""
    canvas = Canvas(str(path), pagesize=(100 * MM, 150 * MM))
    for codes in pages:
        for n, code in enumerate(codes):
            bars = Code128(code, barWidth=0.375 * MM, barHeight=12 * MM, quiet=True, lquiet=4 * MM, rquiet=4 * MM)
            bars.drawOn(canvas, 5 * MM, (20 + 40 * n) * MM)
        canvas.showPage()
    canvas.save()
    return path


def test_every_page_is_read_by_itself(tmp_path: Path) -> None:
    pdf = paper(tmp_path / "a.pdf", [["1000000161"], [], ["1000000258"]])
    assert read_back(pdf) == [Page(("1000000161",), ()), Page((), ()), Page(("1000000258",), ())]


@pytest.mark.parametrize("codes", [[], ["1000000161", "1000000258"]], ids=["none", "two"])
def test_a_ticket_without_exactly_one_code_is_not_accepted(tmp_path: Path, codes: list[str]) -> None:
    with pytest.raises(NotAsPromised, match="page 2"):
        _ticket_codes(paper(tmp_path / "a.pdf", [["1000000161"], codes]))


def test_bars_and_square_of_every_traveller_say_the_same(day: PlayedDay) -> None:
    for job in day.floor.jobs.values():
        pages = read_back(day.folder.path / "printed" / f"{job.code}-travellers.pdf")
        ordered = [piece.code for piece in job.pieces if piece.remake_of is None]
        assert [page.bars for page in pages] == [(code,) for code in ordered]
        assert [page.squares for page in pages] == [(code,) for code in ordered]


def test_a_remakes_traveller_was_printed_too(day: PlayedDay) -> None:
    remakes = [piece.code for piece in day.floor.pieces.values() if piece.remake_of]
    assert len(remakes) == 2
    for code in remakes:
        assert [page.bars for page in read_back(day.folder.path / "printed" / f"{code}.pdf")] == [(code,)]
