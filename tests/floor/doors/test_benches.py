"""The benches of a shop, and the tokens by which they are known."""

import stat
import threading
from pathlib import Path

import pytest

from floor.doors.benches import BenchError, Benches
from floor.doors.private_file import PrivateFileError
from tests.making import MONDAY


def test_a_bench_is_known_by_its_token(tmp_path: Path) -> None:
    benches = Benches(tmp_path)
    tokens = {name: benches.add(name, MONDAY) for name in ("north", "south")}
    assert {benches.who(token) for token in tokens.values()} == {"north", "south"}
    assert benches.who(tokens["north"]) == "north"


@pytest.mark.parametrize("token", ["", "x", "näht", "\udcff", "0" * 64])
def test_nobody_is_known_by_anything_else(tmp_path: Path, token: str) -> None:
    benches = Benches(tmp_path)
    assert benches.who(token) is None
    benches.add("north", MONDAY)
    assert benches.who(token) is None


def test_the_hash_of_a_token_is_no_token(tmp_path: Path) -> None:
    benches = Benches(tmp_path)
    benches.add("north", MONDAY)
    assert benches.who(benches.all()[0].token_sha256) is None


def test_a_token_is_nowhere_in_the_folder_and_the_file_is_its_owners_alone(tmp_path: Path) -> None:
    token = Benches(tmp_path).add("north", MONDAY)
    assert all(token not in file.read_text() for file in tmp_path.iterdir())
    assert stat.S_IMODE((tmp_path / "benches.json").stat().st_mode) == 0o600


def test_two_tokens_are_never_alike_and_too_long_to_guess(tmp_path: Path) -> None:
    benches = Benches(tmp_path)
    tokens = {benches.add(str(n), MONDAY) for n in range(20)}
    assert len(tokens) == 20
    assert min(map(len, tokens)) >= 43


def test_what_another_program_adds_or_revokes_counts_at_once(tmp_path: Path) -> None:
    floor, command = Benches(tmp_path), Benches(tmp_path)
    token = command.add("north", MONDAY)
    assert floor.who(token) == "north"
    command.revoke("north")
    assert floor.who(token) is None


def test_a_bench_that_is_revoked_and_added_again_has_a_new_token(tmp_path: Path) -> None:
    benches = Benches(tmp_path)
    old = benches.add("north", MONDAY)
    benches.revoke("north")
    new = benches.add("north", MONDAY)
    assert (benches.who(old), benches.who(new)) == (None, "north")


def test_a_name_is_given_once(tmp_path: Path) -> None:
    benches = Benches(tmp_path)
    benches.add("north", MONDAY)
    with pytest.raises(BenchError, match="already"):
        benches.add("north", MONDAY)


@pytest.mark.parametrize("name", ["", " ", "x" * 61, "two\nlines", "\x1b[2J"])
def test_a_name_is_short_and_plain(tmp_path: Path, name: str) -> None:
    with pytest.raises(BenchError, match="no name for a bench"):
        Benches(tmp_path).add(name, MONDAY)


def test_a_bench_that_is_not_there_cannot_be_revoked(tmp_path: Path) -> None:
    with pytest.raises(BenchError, match="no bench 'north'"):
        Benches(tmp_path).revoke("north")


@pytest.mark.parametrize("text", ["", "{", "[1]", '[{"name": "north"}]', "\xff"])
def test_a_file_that_cannot_be_read_lets_nobody_in_and_is_not_written_over(tmp_path: Path, text: str) -> None:
    file = tmp_path / "benches.json"
    file.write_bytes(text.encode("latin-1"))
    benches = Benches(tmp_path)
    with pytest.raises(PrivateFileError, match="cannot be read"):
        benches.who("x")
    with pytest.raises(PrivateFileError, match="cannot be read"):
        benches.add("south", MONDAY)
    assert file.read_bytes() == text.encode("latin-1")


def test_benches_that_are_added_at_the_same_time_are_all_there(tmp_path: Path) -> None:
    threads = [threading.Thread(target=Benches(tmp_path).add, args=(str(n), MONDAY)) for n in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(bench.name for bench in Benches(tmp_path).all()) == [str(n) for n in range(8)]
