"""A job by its file with its artwork: taken whole, or refused whole with every reason."""

import json
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from floor.web.gate.guard import FILES_MAX, TOKEN_FIELD
from floor.web.pages.jobs import UPLOAD_BYTES_MAX
from tests.floor.cli.desk import job_text
from tests.floor.web.rig import House, Reply
from tests.floor.web.visitor import Visitor, shown


def picture(kind: str = "PNG", size: tuple[int, int] = (60, 60)) -> bytes:
    out = BytesIO()
    Image.new("RGB", size, (200, 30, 30)).save(out, kind)
    return out.getvalue()


def naming(*names: str) -> str:
    """A job file that names pictures, one on each place."""
    first, *others = names
    more = "".join(
        f'[[lines.prints]]\nplace = "{n}"\nwidth_mm = 50\nheight_mm = 50\nartwork = {json.dumps(name)}\n'
        for n, name in enumerate(others)
    )
    return job_text(more=f"artwork = {json.dumps(first)}") + more


def sent(house: House, job: str | bytes | None, *pictures: tuple[str, bytes]) -> Reply:
    files = [("artwork", each) for each in pictures]
    if job is not None:
        files = [("job", ("my job.toml", job if isinstance(job, bytes) else job.encode())), *files]
    return Visitor(house).post("/jobs", {}, page="/jobs", files=files)


def assert_refused(house: House, reply: Reply, *reasons: str) -> None:
    """Refused with these reasons, each in a line of its own, and nothing is kept of it."""
    assert reply.status == 422
    assert "The job was not taken." in shown(reply)
    page = reply.body.decode()
    lines = page.partition('role="alert"')[2].partition("</div>")[0].count("<li>")
    assert lines == len(reasons), shown(reply)
    for reason in reasons:
        assert reason in page
    assert not house.service.board().jobs
    assert not (house.folder / "artwork").exists()


def test_a_job_file_alone_is_taken(house: House) -> None:
    reply = sent(house, job_text())
    assert (reply.status, reply.headers["location"]) == (303, "/jobs/J0001")
    assert "Harbour rowing club" in shown(Visitor(house).get("/jobs/J0001"))


def test_its_pictures_are_kept_in_the_shops_folder_and_tell_the_ink(house: House) -> None:
    red = picture()
    assert sent(house, naming("oars.png"), ("oars.png", red)).status == 303
    [kept] = (house.folder / "artwork").iterdir()
    assert kept.read_bytes() == red
    with house.service.reading() as floor:
        [line] = floor.jobs["J0001"].lines
    assert line.artwork == {"front": f"artwork/{kept.name}"}


def test_a_picture_that_the_job_does_not_name_is_not_kept(house: House) -> None:
    assert sent(house, job_text(), ("oars.png", picture())).status == 303
    assert not (house.folder / "artwork").exists()


def test_a_browsers_folder_is_no_part_of_a_pictures_name(house: House) -> None:
    for name in ("C:\\pictures\\oars.png", "../../oars.png", "/etc/oars.png"):
        assert sent(house, naming("oars.png"), (name, picture())).status == 303
    assert [each.suffix for each in (house.folder / "artwork").iterdir()] == [".png"]


def test_every_mistake_of_the_file_is_listed(house: House) -> None:
    wrong = job_text(sizes="M = 0").replace('"heavy tee"', '"heavy tea"') + "colour_ml = -1\n"
    assert_refused(house, sent(house, wrong), "heavy tea", "sizes", "colour_ml")


@pytest.mark.parametrize("job", ["", "customer", "\x00", "[" * 10_000, "a = 1" + "0" * 5_000, b"\xff\xfe"])
def test_what_is_no_job_file_is_refused(house: House, job: str | bytes) -> None:
    reply = sent(house, job)
    assert reply.status == 422
    assert "job.toml" in shown(reply)
    assert not house.service.board().jobs


def test_without_a_job_file_there_is_no_job(house: House) -> None:
    assert_refused(house, sent(house, None, ("oars.png", picture())), "There is no job file")
    assert_refused(house, Visitor(house).post("/jobs", {"job": "customer"}, page="/jobs"), "There is no job file")


def test_every_picture_that_was_not_sent_is_listed(house: House) -> None:
    reply = sent(house, naming("oars.png", "boat.png", "crew.png"), ("boat.png", picture()))
    assert_refused(house, reply, "oars.png", "crew.png")


@pytest.mark.parametrize("path", ["{secret}", "../secret.png", "./secret.png", "artwork/secret.png", "", ".", ".."])
def test_a_job_file_reaches_no_file_of_this_machine(house: House, tmp_path: Path, path: str) -> None:
    secret = tmp_path / "secret.png"
    secret.write_bytes(picture())
    assert_refused(house, sent(house, naming(path.format(secret=secret))), "which was not sent with it")


@pytest.mark.parametrize("name", ["..", ".", "/", "a/..", "job.toml", "x" * 300, "a\x00b", "\x1b[2J", "é" * 61])
def test_what_is_no_name_for_a_picture_is_refused(house: House, name: str) -> None:
    reply = sent(house, job_text(), (name, picture()))
    if reply.status == 400:
        assert "\x00" in name, "what breaks the form itself is no form"
    else:
        assert_refused(house, reply, "is no name for a picture")


@pytest.mark.parametrize(
    "content",
    [b"", b"x", picture()[:80], picture()[:-30], b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"%PDF-1.7", b"GIF89a"],
)
def test_what_is_no_picture_is_refused(house: House, content: bytes) -> None:
    assert_refused(house, sent(house, naming("oars.png"), ("oars.png", content)), "oars.png")


def test_a_small_file_that_unpacks_to_a_huge_picture_is_refused(house: House) -> None:
    out = BytesIO()
    Image.new("1", (30_000, 30_000)).save(out, "PNG")
    assert len(out.getvalue()) < 1_000_000
    assert_refused(house, sent(house, naming("oars.png"), ("oars.png", out.getvalue())), "oars.png")


def test_every_picture_that_cannot_be_used_is_listed(house: House) -> None:
    reply = sent(house, naming("oars.png", "boat.png"), ("oars.png", b"x"), ("boat.png", b"y"))
    assert_refused(house, reply, "oars.png", "boat.png")


def test_too_many_files_and_too_many_bytes_are_refused(house: House) -> None:
    many = [(f"{n}.png", b"x") for n in range(FILES_MAX + 1)]
    assert sent(house, None, *many).status == 400
    visitor = Visitor(house)
    length = {"Content-Length": str(UPLOAD_BYTES_MAX + 1)}
    assert visitor.post("/jobs", {}, page="/jobs", files=[], headers=length).status == 413
    assert not house.service.board().jobs


def test_an_upload_from_another_page_is_refused(house: House) -> None:
    files = [("job", ("job.toml", job_text().encode()))]
    for token in ({}, {TOKEN_FIELD: "x"}):
        assert Visitor(house).post("/jobs", token, files=files).status == 403
    assert not house.service.board().jobs


def test_what_a_mistake_says_is_no_html(house: House) -> None:
    page = sent(house, naming("<script>alert(1)</script>")).body.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert" in page
