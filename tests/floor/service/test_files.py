"""Files that are there whole, or not at all."""

from pathlib import Path

import pytest

from floor.service.files import whole


def half_written(file: Path) -> None:
    with whole(file) as out:
        out.write(b"as it")
        raise ZeroDivisionError


def test_a_file_that_does_not_get_whole_leaves_what_was_there(tmp_path: Path) -> None:
    file = tmp_path / "shop.toml"
    file.write_bytes(b"as it was")
    with pytest.raises(ZeroDivisionError):
        half_written(file)
    assert [(each.name, each.read_bytes()) for each in tmp_path.iterdir()] == [("shop.toml", b"as it was")]


def test_a_link_stays_a_link_to_the_file_that_is_written(tmp_path: Path) -> None:
    file, link = tmp_path / "kept" / "shop.toml", tmp_path / "shop.toml"
    file.parent.mkdir()
    link.symlink_to(file)
    with whole(link) as out:
        out.write(b"as it is")
    assert link.is_symlink()
    assert file.read_bytes() == b"as it is"


@pytest.mark.parametrize("before", [b"SQLite format 3\x00", b"[shop]\nname = 'x'\n"])
def test_a_file_of_another_kind_is_not_written_over_by_a_slip_of_the_hand(tmp_path: Path, before: bytes) -> None:
    file = tmp_path / "ledger.db"
    file.write_bytes(before)
    with pytest.raises(FileExistsError, match="another kind"), whole(file) as out:
        out.write(b"%PDF-1.4 and so on")
    assert [(each.name, each.read_bytes()) for each in tmp_path.iterdir()] == [("ledger.db", before)]


def test_a_file_of_the_same_kind_and_an_empty_one_are(tmp_path: Path) -> None:
    for before in (b"%PDF-1.3 of yesterday", b""):
        file = tmp_path / "week.pdf"
        file.write_bytes(before)
        with whole(file) as out:
            out.write(b"%PDF-1.4 of today")
        assert file.read_bytes() == b"%PDF-1.4 of today"
