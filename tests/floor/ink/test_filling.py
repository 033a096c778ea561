"""A job's prints get their ink from their pictures."""

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from floor.core.cost.quote import quoted_lines
from floor.ink import filling
from floor.ink.filling import fill_ink
from floor.ink.picture import Picture, read_picture
from shared.files.jobfile import JobFile, Print, parse_job
from shared.files.problems import ProblemsFound
from shared.files.shop import Shop, parse_shop
from shared.route import INKS
from tests.floor.ink.drawn import CLOSE
from tests.making import job_data, shop, shop_data

NONE = Decimal(0)
WHITE, BLACK, CLEAR = (255, 255, 255, 255), (0, 0, 0, 255), (0, 0, 0, 0)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, colour in {"white": WHITE, "black": BLACK, "clear": CLEAR}.items():
        Image.new("RGBA", (6, 6), colour).save(tmp_path / f"{name}.png")
    (tmp_path / "broken.png").write_bytes(b"not a picture")
    return tmp_path


def job_of(prints: list[dict[str, Any]], colour: str = "navy", its_shop: Shop | None = None) -> JobFile:
    """A job of one line; each print is 100 mm square, at a place of its own."""
    data = job_data(colour=colour)
    square = {"width_mm": 100, "height_mm": 100}
    data["lines"][0]["prints"] = [{"place": f"place {n}", **square, **each} for n, each in enumerate(prints)]
    return parse_job(data, its_shop or shop())


def filled(folder: Path, *prints: dict[str, Any], colour: str = "navy", its_shop: Shop | None = None) -> list[Print]:
    its_shop = its_shop or shop()
    return fill_ink(job_of(list(prints), colour, its_shop), its_shop, folder).lines[0].prints


def takes(each: Print) -> tuple[Decimal, ...]:
    """The white and the colour of a print, as estimated where the job file does not tell them."""
    told = ((ink, each.told_ml(ink)) for ink in INKS)
    return tuple(each.estimated_ml(ink, shop().file.inks) if ml is None else ml for ink, ml in told)


def test_a_print_takes_the_ink_that_its_picture_tells(folder: Path) -> None:
    white, clear = filled(folder, {"artwork": "white.png"}, {"artwork": "clear.png"})
    assert takes(white) == (shop().file.inks.white.full_ml(Decimal(100), Decimal(100)), NONE)
    assert takes(clear) == (NONE, NONE)


def test_a_light_garment_takes_no_white(folder: Path) -> None:
    (black,) = filled(folder, {"artwork": "black.png"}, colour="white")
    assert takes(black) == (NONE, shop().file.inks.colour.full_ml(Decimal(100), Decimal(100)))


def test_a_print_without_a_picture_stays_as_it_is(folder: Path) -> None:
    (plain,) = filled(folder, {})
    assert plain == job_of([{}]).lines[0].prints[0]


def test_what_the_job_file_gives_goes_before_the_picture(folder: Path) -> None:
    given = {"artwork": "white.png", "white_ml": "9.5"}
    white_given, both_given, share_given = filled(
        folder, given, {**given, "colour_ml": "0.5"}, {"artwork": "white.png", "coverage": "0.3"}
    )
    assert takes(white_given) == (Decimal("9.5"), NONE)
    assert takes(both_given) == (Decimal("9.5"), Decimal("0.5"))
    full = shop().file.inks.white.full_ml(Decimal(100), Decimal(100))
    assert takes(share_given) == (Decimal("0.3") * full, Decimal("0.3") * full / 2)


def test_a_garment_that_looks_like_the_picture_takes_no_white(folder: Path) -> None:
    Image.new("RGB", (6, 6), "#1b2340").save(folder / "night.png")
    items = shop_data()["items"]
    items["heavy tee"]["colours"] = {"navy": "#1b2340"}
    (same,) = filled(folder, {"artwork": "night.png"}, its_shop=parse_shop(shop_data(items=items)))
    (other,) = filled(folder, {"artwork": "night.png"}, colour="red")
    assert takes(same)[0] == 0
    assert takes(other)[0] > CLOSE


def test_the_quote_is_of_that_ink(folder: Path) -> None:
    job = fill_ink(job_of([{"artwork": "white.png"}]), shop(), folder)
    (line,) = quoted_lines(job, shop())
    (charge,) = [charge for charge in line.quoted["M"] if charge.element == "white_ink"]
    assert charge.quantity == pytest.approx(takes(job.lines[0].prints[0])[0])
    assert "colour_ink" not in {charge.element for charge in line.quoted["M"]}


def test_every_picture_that_cannot_be_used_is_named(folder: Path) -> None:
    names = ("broken.png", "white.png", "lost.png", "broken.png")
    with pytest.raises(ProblemsFound) as refused:
        filled(folder, *({"artwork": name} for name in names))
    assert [problem.where for problem in refused.value.problems] == [
        str(folder / "broken.png"),
        str(folder / "lost.png"),
    ]


def test_a_picture_is_read_once_for_each_garment(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    opened: list[Path] = []

    def counting(path: Path) -> Picture:
        opened.append(path)
        return read_picture(path)

    monkeypatch.setattr(filling, "read_picture", counting)
    filled(folder, *[{"artwork": "white.png"}] * 3, {"artwork": "black.png"})
    assert opened == [folder / "white.png", folder / "black.png"]
