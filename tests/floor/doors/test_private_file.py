"""A file of secrets: its owner's alone, whole at any moment, as new as whoever wrote it last."""

import stat
from pathlib import Path
from threading import Thread

import pytest

from floor.doors.private_file import PrivateFile, PrivateFileError
from tests.measured import WAIT_S

NOTHING: dict[str, int] = {}


def opened(folder: Path) -> PrivateFile[dict[str, int]]:
    return PrivateFile(folder / "secrets.json", dict[str, int], NOTHING)


def test_before_anything_was_written_it_holds_what_an_empty_one_holds(tmp_path: Path) -> None:
    file = opened(tmp_path)
    assert not file.exists()
    assert file.read() == NOTHING


def test_what_was_written_is_read_by_others_at_once(tmp_path: Path) -> None:
    one, other = opened(tmp_path), opened(tmp_path)
    assert other.read() == NOTHING
    one.write({"a": 1})
    assert other.read() == {"a": 1}
    one.write({"a": 2})
    assert other.read() == {"a": 2}


def test_nobody_but_its_owner_can_read_it(tmp_path: Path) -> None:
    file = opened(tmp_path)
    for number in range(2):
        file.write({"a": number})
        assert stat.S_IMODE((tmp_path / "secrets.json").stat().st_mode) == 0o600


def test_what_a_crash_left_half_written_is_in_nobodys_way(tmp_path: Path) -> None:
    (tmp_path / "secrets.new").write_text("{")
    file = opened(tmp_path)
    assert file.read() == NOTHING
    file.write({"a": 1})
    assert sorted(each.name for each in tmp_path.iterdir()) == ["secrets.json"]


def test_a_link_that_somebody_left_in_the_way_is_not_followed(tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.write_text("as it was")
    (tmp_path / "secrets.new").symlink_to(elsewhere)
    opened(tmp_path).write({"a": 1})
    assert elsewhere.read_text() == "as it was"


def test_changes_made_at_the_same_time_are_all_kept(tmp_path: Path) -> None:
    def add(number: int) -> None:
        file = opened(tmp_path)
        with file.changing() as content:
            file.write({**content, str(number): number})

    threads = [Thread(target=add, args=(number,)) for number in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(WAIT_S)
    assert set(opened(tmp_path).read().values()) == set(range(20))


@pytest.mark.parametrize("text", ["", "{", "[]", '{"a": "b"}', "\x80"])
def test_what_cannot_be_read_is_said_with_what_to_do(tmp_path: Path, text: str) -> None:
    (tmp_path / "secrets.json").write_text(text, encoding="latin-1")
    with pytest.raises(PrivateFileError, match=r"secrets\.json cannot be read.*Restore it"):
        opened(tmp_path).read()


def test_a_file_that_is_mended_is_read_again(tmp_path: Path) -> None:
    file = opened(tmp_path)
    (tmp_path / "secrets.json").write_text("{")
    with pytest.raises(PrivateFileError):
        file.read()
    (tmp_path / "secrets.json").write_text('{"a": 1}')
    assert file.read() == {"a": 1}


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    (tmp_path / "secrets.lock").mkdir()
    with pytest.raises(PrivateFileError, match="cannot be changed"), opened(tmp_path).changing():
        pass
    with pytest.raises(PrivateFileError, match="cannot be written"):
        opened(tmp_path / "not there").write({"a": 1})
