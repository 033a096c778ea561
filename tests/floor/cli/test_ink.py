"""`ink estimate`, and quotes of jobs that have pictures."""

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from tests.floor.cli.desk import Desk, job_text

JOB = job_text("M = 2", 'artwork = "oars.png"', width_mm=300, height_mm=400)


class ArtDesk(Desk):
    """A desk with a picture on it, and a job that wants it."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.art = folder / "oars.png"
        self.job_file = folder / "job.toml"
        Image.new("RGB", (30, 40), "white").save(self.art)
        self.job_file.write_text(JOB, encoding="utf-8")

    def estimate(self, *words: str, file: Path | None = None, **more: Any) -> Any:
        return self.json("ink", "estimate", str(file or self.art), *words, **more)


@pytest.fixture
def desk(tmp_path: Path) -> ArtDesk:
    return ArtDesk(tmp_path)


def test_an_estimate_answers_ink_and_cost(desk: ArtDesk) -> None:
    answer = desk.estimate("--width-mm", "300", "--shade", "dark")
    assert (answer["width_mm"], answer["height_mm"], answer["dpi"]) == ("300.00", "400.00", 3)
    assert Decimal(answer["white_ml"]) == pytest.approx(Decimal("2.8123"), abs=Decimal("0.001"))
    assert (answer["cost"], answer["picture"]) == ({"white_ink": "0.59", "colour_ink": "0.00", "total": "0.59"}, None)


def test_an_estimate_can_be_read(desk: ArtDesk) -> None:
    said = desk("ink", "estimate", str(desk.art), "--width-mm", "300", "--shade", "dark").output
    assert "oars.png" in said
    assert "300.0 × 400.0 mm" in said
    assert "0.59" in said


def test_twice_the_width_takes_four_times_the_ink(desk: ArtDesk) -> None:
    once, twice = (Decimal(desk.estimate("--width-mm", mm, "--shade", "dark")["white_ml"]) for mm in ("150", "300"))
    assert twice == pytest.approx(4 * once, abs=Decimal("0.00001"))


def test_the_height_may_be_said_too(desk: ArtDesk) -> None:
    assert desk.estimate("--width-mm", "300", "--height-mm", "200", "--shade", "dark")["height_mm"] == "200.00"


def test_the_shade_and_the_looks_may_come_from_an_item(desk: ArtDesk) -> None:
    answer = desk.estimate("--width-mm", "300", "--item", "heavy tee", "--colour", "navy")
    assert (answer["shade"], answer["garment"]) == ("dark", "#1f2a44")


def test_a_picture_of_the_colour_that_was_said_takes_no_white(desk: ArtDesk) -> None:
    Image.new("RGB", (3, 4), "#1b2340").save(desk.art)
    assert desk.estimate("--width-mm", "300", "--shade", "dark", "--colour", "#1b2340")["white_ml"] == "0.000000"
    assert desk.estimate("--width-mm", "300", "--shade", "dark", "--colour", "red")["white_ml"] != "0.000000"


def test_a_picture_may_come_from_standard_input(desk: ArtDesk) -> None:
    answer = desk.estimate("--width-mm", "300", "--shade", "light", file=Path("-"), stdin=desk.art.read_bytes())
    assert answer["pixels"] == [30, 40]


def test_without_a_shade_it_is_asked_for(desk: ArtDesk) -> None:
    result = desk("ink", "estimate", str(desk.art), "--width-mm", "300", "--item", "heavy tee")
    assert result.exit_code == 2
    assert "--shade" in result.stderr


@pytest.mark.parametrize("width", ["0", "-1", "0.001", "3000", "nan", "inf", "1e9"])
def test_a_width_that_no_print_has_is_refused(desk: ArtDesk, width: str) -> None:
    error = desk.estimate("--width-mm", width, "--shade", "dark", status=1)["error"]
    assert "wide" in error["what"]
    assert "600" in error["allowed"]


def test_a_height_that_follows_from_the_width_must_be_possible_too(desk: ArtDesk) -> None:
    Image.new("RGB", (10, 90)).save(desk.art)
    assert "5400 mm high" in desk.estimate("--width-mm", "600", "--shade", "dark", status=1)["error"]["what"]


@pytest.mark.parametrize(
    ("words", "named"), [(("--item", "heavy te"), "heavy te"), (("--item", "heavy tee", "--colour", "pink"), "pink")]
)
def test_an_item_or_a_colour_that_the_shop_lacks_is_refused_by_name(
    desk: ArtDesk, words: tuple[str, ...], named: str
) -> None:
    assert named in desk.estimate("--width-mm", "300", *words, status=1)["error"]["what"]


def test_a_broken_picture_is_refused_by_name(desk: ArtDesk) -> None:
    desk.art.write_bytes(desk.art.read_bytes()[:60])
    error = desk.estimate("--width-mm", "300", "--shade", "dark", status=1)["error"]
    assert error["where"] == str(desk.art)


def test_a_picture_of_the_estimate_is_drawn_on_request(desk: ArtDesk) -> None:
    sheet = desk.shop / "sheet.png"
    answer = desk.estimate("--width-mm", "300", "--shade", "dark", "--picture", str(sheet))
    assert answer["picture"] == str(sheet)
    with Image.open(sheet) as drawn:
        assert drawn.format == "PNG"
        assert drawn.width > drawn.height


def test_the_artwork_is_never_drawn_over(desk: ArtDesk) -> None:
    before = desk.art.read_bytes()
    error = desk.estimate("--width-mm", "300", "--shade", "dark", "--picture", str(desk.art), status=1)["error"]
    assert "artwork" in error["what"]
    assert desk.art.read_bytes() == before


def test_a_picture_that_cannot_be_written_is_named(desk: ArtDesk) -> None:
    nowhere = str(desk.shop / "nowhere" / "sheet.png")
    error = desk.estimate("--width-mm", "300", "--shade", "dark", "--picture", nowhere, status=1)["error"]
    assert nowhere in error["what"]


# Jobs that have pictures


def test_a_quote_is_of_the_ink_that_the_picture_takes(desk: ArtDesk) -> None:
    quoted = desk.json("quote", str(desk.job_file))["lines"][0]["each"]
    assert (quoted["white_ink"], quoted["colour_ink"]) == ("0.59", "0.00")


def test_a_job_is_taken_at_that_ink(desk: ArtDesk) -> None:
    quoted = desk.json("job", "add", str(desk.job_file))["quote"]["lines"][0]["each"]
    assert (quoted["white_ink"], quoted["colour_ink"]) == ("0.59", "0.00")


def test_a_job_with_a_broken_picture_is_not_taken(desk: ArtDesk) -> None:
    desk.art.write_bytes(b"not a picture")
    assert desk.json("job", "add", str(desk.job_file), status=1)["error"]["where"] == str(desk.art)
    assert desk.json("job", "list") == {"jobs": []}
    assert not (desk.shop / "artwork").exists()


def test_a_print_of_three_metres_on_a_shirt_is_refused_by_name(desk: ArtDesk) -> None:
    desk.job_file.write_text(JOB.replace("width_mm = 300", "width_mm = 3000"), encoding="utf-8")
    error = desk.json("quote", str(desk.job_file), status=1)["error"]
    assert (error["where"], error["found"]) == ("job.toml: lines[0].prints[0].width_mm", "3000")
    assert "heavy tee" in error["allowed"]


def test_a_job_from_standard_input_has_its_pictures_in_the_current_folder(
    desk: ArtDesk, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(desk.shop)
    assert "oars.png" in desk.json("quote", "-", stdin=JOB.encode(), status=1)["error"]["found"]
    monkeypatch.chdir(tmp_path)
    assert desk.json("quote", "-", stdin=JOB.encode())["lines"][0]["each"]["white_ink"] == "0.59"
