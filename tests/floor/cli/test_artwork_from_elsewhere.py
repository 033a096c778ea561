"""A job file that somebody sent takes no file of this machine that was not sent with it."""

import stat
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from tests.floor.cli.desk import Desk, job_text

SECRET = b"root:$6$salt$hash:20000:0:99999:7:::\n"
INK = 'white_ml = "4.1"\ncolour_ml = "1.6"'


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """A shop; beside it a folder that a customer sent, and a file that is none of theirs."""
    desk = Desk(tmp_path)
    (tmp_path / "shadow").write_bytes(SECRET)
    (tmp_path / "sent" / "pictures").mkdir(parents=True)
    return desk


def order(desk: Desk, artwork: str, ink: str = INK) -> Path:
    file = desk.folder / "sent" / "order.toml"
    file.write_text(job_text(more=f'artwork = "{artwork}"\n{ink}'), encoding="utf-8")
    return file


def kept(desk: Desk) -> list[bytes]:
    return [file.read_bytes() for file in (desk.shop / "artwork").glob("*")]


@pytest.mark.parametrize("ink", [INK, 'coverage = "0.5"', ""])
@pytest.mark.parametrize("artwork", ["../shadow", "pictures/../../shadow", "/etc/passwd", "link.png", "loop.png"])
def test_a_file_outside_of_the_job_files_folder_is_refused(desk: Desk, artwork: str, ink: str) -> None:
    (desk.folder / "sent" / "link.png").symlink_to(desk.folder / "shadow")
    (desk.folder / "sent" / "loop.png").symlink_to("loop.png")
    for command in (["quote"], ["job", "add"]):
        result = desk(*command, str(order(desk, artwork, ink)))
        [line] = result.stderr.splitlines()
        assert result.exit_code == 1
        assert "lines[0].prints[0].artwork: found " in line
        assert "allowed a picture in the job file's folder or below it" in line
    assert kept(desk) == []


@pytest.mark.parametrize("ink", [INK, 'coverage = "0.5"', ""])
def test_a_file_that_is_no_picture_is_refused(desk: Desk, ink: str) -> None:
    (desk.folder / "sent" / "oars.png").write_bytes(SECRET)
    result = desk("job", "add", str(order(desk, "oars.png", ink)))
    assert result.exit_code == 1
    assert "no picture that can be read" in result.stderr
    assert kept(desk) == []


def test_a_picture_below_the_job_files_folder_is_taken(desk: Desk) -> None:
    picture = desk.folder / "sent" / "pictures" / "oars.png"
    Image.new("RGB", (8, 8), "red").save(picture)
    assert desk("job", "add", str(order(desk, "pictures/oars.png"))).exit_code == 0
    assert kept(desk) == [picture.read_bytes()]


def test_nobody_but_the_shops_own_user_and_group_reads_its_files(desk: Desk, tmp_path: Path) -> None:
    Image.new("RGB", (8, 8), "red").save(desk.folder / "sent" / "oars.png")
    shop = tmp_path / "another"
    for words in (["init", str(shop)], ["--shop", str(shop), "job", "add", str(order(desk, "oars.png"))]):
        done = subprocess.run([sys.executable, "-m", "floor.cli", *words], check=False, capture_output=True, umask=0)
        assert done.returncode == 0, done.stderr
    modes = {path.relative_to(shop).as_posix(): stat.S_IMODE(path.stat().st_mode) for path in shop.rglob("*")}
    assert {name for name, mode in modes.items() if mode & 0o007} == set()
    assert modes["ledger.db"] in {0o600, 0o640}
    assert any(name.startswith("artwork/") for name in modes)
