"""What a script gets that asks for a list: an object with one key that names it, so that more may be told beside it."""

from pathlib import Path

import pytest

from tests.floor.cli.desk import Desk

LISTS = [
    (("job", "list"), "jobs"),
    (("bench", "list"), "benches"),
    (("access", "list"), "roles"),
    (("lot", "list"), "lots"),
    (("ink", "level"), "tanks"),
    (("ink", "calibrate"), "factors"),
]


@pytest.mark.parametrize(("words", "key"), LISTS)
def test_a_list_is_an_object_with_one_key(tmp_path: Path, words: tuple[str, ...], key: str) -> None:
    answer = Desk(tmp_path).json(*words)
    assert list(answer) == [key]
    assert isinstance(answer[key], list)
