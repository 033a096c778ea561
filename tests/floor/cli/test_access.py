"""`access`: passwords are given, listed by their role alone, and taken away."""

from pathlib import Path

import pytest

from floor.doors import access
from floor.doors.access import Access
from tests.floor.cli.desk import Desk

TYPED = "behind the wall\nbehind the wall\n"


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Desk:
    monkeypatch.setattr(access, "SCRYPT_N", 16)
    return Desk(tmp_path)


def test_a_password_that_is_typed_twice_opens_its_role(desk: Desk) -> None:
    assert desk("access", "set", "view", stdin=TYPED).exit_code == 0
    assert Access(desk.shop).role_of("behind the wall") == "view"


def test_it_is_shown_nowhere_and_the_caution_is(desk: Desk) -> None:
    result = desk("access", "set", "view", stdin=TYPED)
    assert "behind the wall" not in result.output
    assert "TLS" in result.stderr


def test_one_that_is_typed_differently_is_asked_for_again(desk: Desk) -> None:
    assert desk("access", "set", "view", stdin=f"behind the wall\nbehind the well\n{TYPED}").exit_code == 0
    assert Access(desk.shop).roles() == ["view"]


def test_a_password_that_is_made_is_shown_once_alone_on_standard_output(desk: Desk) -> None:
    made = desk("access", "set", "office", "--make").stdout.strip()
    assert len(made) >= 16
    assert Access(desk.shop).role_of(made) == "office"
    assert made not in desk("access", "list").output


def test_a_script_gets_a_made_password_and_no_chosen_one(desk: Desk) -> None:
    made = desk.json("access", "set", "office", "--make")
    assert Access(desk.shop).role_of(made["password"]) == made["role"] == "office"
    assert '"password": null' in desk("access", "set", "view", "--json", stdin=TYPED).stdout


def test_roles_with_a_password_are_listed(desk: Desk) -> None:
    assert "None" in desk("access", "list").stdout
    desk("access", "set", "office", "--make")
    desk("access", "set", "view", "--make")
    assert desk("access", "list").stdout == "view, office\n"
    assert desk.json("access", "list") == {"roles": ["view", "office"]}


def test_a_password_is_taken_away_once(desk: Desk) -> None:
    desk("access", "set", "view", "--make")
    assert desk.json("access", "remove", "view") == {"role": "view"}
    assert desk("access", "list").stdout.startswith("None")
    again = desk("access", "remove", "view")
    assert again.exit_code == 1
    assert again.stderr == "The role view has no password. Nothing to do.\n"
    desk("access", "set", "view", "--make")
    assert "no password any more" in desk("access", "remove", "view").stdout


def test_a_short_password_and_another_roles_password_are_refused(desk: Desk) -> None:
    short = desk("access", "set", "view", stdin="short\nshort\n")
    assert (short.exit_code, "too short" in short.stderr) == (1, True)
    desk("access", "set", "view", stdin=TYPED)
    same = desk("access", "set", "office", stdin=TYPED)
    assert (same.exit_code, "Another role has that password" in same.stderr) == (1, True)
    assert Access(desk.shop).roles() == ["view"]


def test_there_are_no_other_roles(desk: Desk) -> None:
    assert desk("access", "set", "boss", "--make").exit_code == 2


def test_no_password_is_taken_on_the_command_line(desk: Desk) -> None:
    assert desk("access", "set", "view", "behind the wall").exit_code == 2
    assert desk("access", "set", "view", "--password", "behind the wall").exit_code == 2
