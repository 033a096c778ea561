"""Passwords and the sessions that follow from them: of use to those who know them, until they are changed."""

import json
import stat
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.doors import access
from floor.doors.access import FILE_NAME, LASTS, ROLES, Access, Role
from floor.doors.private_file import PrivateFileError
from tests.making import MONDAY

PASSWORDS: dict[Role, str] = {
    "view": "behind the wall",
    "station": "at the press",
    "office": "näht die Bücher",
}


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(access, "SCRYPT_N", 16)


@pytest.fixture
def doors(tmp_path: Path) -> Access:
    doors = Access(tmp_path)
    for role, password in PASSWORDS.items():
        doors.set(role, password)
    return doors


def test_each_password_opens_its_role(doors: Access) -> None:
    assert {role: doors.role_of(password) for role, password in PASSWORDS.items()} == {role: role for role in ROLES}


@pytest.mark.parametrize(
    "password", ["", "behind the wal", "Behind the wall", "behind the wall ", "\udcff", "x" * 5_000]
)
def test_any_other_opens_none(doors: Access, password: str) -> None:
    assert doors.role_of(password) is None


def test_without_passwords_none_opens_anything(tmp_path: Path) -> None:
    doors = Access(tmp_path)
    assert doors.roles() == []
    assert doors.role_of("") is None


def test_roles_are_listed_from_the_least_to_the_most(doors: Access) -> None:
    assert doors.roles() == ["view", "station", "office"]


def test_the_folder_knows_no_password_and_its_file_is_its_owners_alone(doors: Access, tmp_path: Path) -> None:
    written = (tmp_path / FILE_NAME).read_text(encoding="utf-8")
    assert not [password for password in PASSWORDS.values() if password in written]
    assert stat.S_IMODE((tmp_path / FILE_NAME).stat().st_mode) == 0o600


def test_two_shops_with_the_same_password_keep_something_else(tmp_path: Path) -> None:
    kept = []
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
        Access(tmp_path / name).set("office", PASSWORDS["office"])
        kept.append(json.loads((tmp_path / name / FILE_NAME).read_text())["passwords"]["office"])
    assert kept[0] != kept[1]


def test_a_hash_takes_as_much_memory_as_is_advised(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    advised = {(2**17, 1), (2**16, 2), (2**15, 3), (2**14, 5), (2**13, 10)}
    """N and p, at r = 8: OWASP, "Password Storage Cheat Sheet"."""
    assert access.SCRYPT_R == 8
    assert (access.SCRYPT_N, access.SCRYPT_P) in advised


def test_a_short_password_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PrivateFileError, match="8 characters"):
        Access(tmp_path).set("office", "1234567")


def test_two_roles_never_have_the_same_password(doors: Access) -> None:
    with pytest.raises(PrivateFileError, match="Another role"):
        doors.set("office", PASSWORDS["view"])
    doors.set("view", PASSWORDS["view"])


def test_what_the_command_sets_and_removes_the_floor_knows_at_once(doors: Access, tmp_path: Path) -> None:
    command = Access(tmp_path)
    command.set("view", "another wall")
    assert (doors.role_of("another wall"), doors.role_of(PASSWORDS["view"])) == ("view", None)
    command.remove("view")
    assert doors.roles() == ["station", "office"]


def test_what_has_no_password_cannot_lose_it(tmp_path: Path) -> None:
    with pytest.raises(PrivateFileError, match="has no password"):
        Access(tmp_path).remove("view")


def test_keeping_a_file_changes_none_that_is_there(doors: Access, tmp_path: Path) -> None:
    before = (tmp_path / FILE_NAME).read_bytes()
    doors.keep()
    assert (tmp_path / FILE_NAME).read_bytes() == before


def test_forms_outlive_the_process_that_made_them(tmp_path: Path) -> None:
    doors = Access(tmp_path)
    doors.keep()
    assert Access(tmp_path).form_token("x") == doors.form_token("x")


# Sessions


@pytest.mark.parametrize("role", ROLES)
def test_a_session_has_its_role_until_it_is_over(doors: Access, role: Role) -> None:
    cookie = doors.begin(role, MONDAY)
    just_before = MONDAY + LASTS[role] - timedelta(seconds=1)
    session = doors.session(cookie, just_before)
    assert session is not None
    assert session.role == role
    assert doors.session(cookie, MONDAY + LASTS[role]) is None


def test_a_session_outlives_the_process_that_began_it(doors: Access, tmp_path: Path) -> None:
    assert Access(tmp_path).session(doors.begin("office", MONDAY), MONDAY) is not None


def test_a_changed_password_ends_the_sessions_of_its_role_and_no_others(doors: Access) -> None:
    cookies = {role: doors.begin(role, MONDAY) for role in ROLES}
    doors.set("station", "at the other press")
    open_still = [role for role, cookie in cookies.items() if doors.session(cookie, MONDAY)]
    assert open_still == ["view", "office"]


def test_a_removed_password_ends_the_sessions_of_its_role_even_when_it_is_set_anew(doors: Access) -> None:
    cookie = doors.begin("view", MONDAY)
    doors.remove("view")
    assert doors.session(cookie, MONDAY) is None
    assert doors.session(doors.begin("view", MONDAY), MONDAY) is None, "a role without a password has no session"
    doors.set("view", "another wall")
    assert doors.session(cookie, MONDAY) is None


def test_another_shops_sessions_are_none_here(doors: Access, tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    other = Access(tmp_path / "other")
    other.set("office", PASSWORDS["office"])
    assert doors.session(other.begin("office", MONDAY), MONDAY) is None


def test_two_sessions_are_never_alike_and_neither_are_their_forms(doors: Access) -> None:
    cookies = {doors.begin("office", MONDAY) for _ in range(20)}
    assert len(cookies) == 20
    assert len({doors.form_token(cookie) for cookie in cookies}) == 20


@pytest.fixture(scope="module")
def module_doors(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Access]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(access, "SCRYPT_N", 16)
        doors = Access(tmp_path_factory.mktemp("shop"))
        doors.set("view", PASSWORDS["view"])
        yield doors


@given(st.one_of(st.text(), st.from_regex(r"[A-Za-z0-9_=-]*\.[A-Za-z0-9_=-]*", fullmatch=True)))
def test_what_was_not_signed_here_is_no_session(module_doors: Access, cookie: str) -> None:
    assert module_doors.session(cookie, MONDAY) is None


@given(data=st.data())
def test_a_session_that_was_changed_is_none(module_doors: Access, data: st.DataObject) -> None:
    cookie = module_doors.begin("view", MONDAY)
    at = data.draw(st.integers(0, len(cookie) - 1))
    char = data.draw(st.sampled_from("AQgw_-.z"))
    changed = cookie[:at] + char + cookie[at + 1 :]
    assert changed == cookie or module_doors.session(changed, MONDAY) is None


def test_a_session_cannot_be_raised_to_another_role(doors: Access) -> None:
    body, _, signature = doors.begin("view", MONDAY).partition(".")
    office, _, _ = doors.begin("office", MONDAY).partition(".")
    assert doors.session(f"{office}.{signature}", MONDAY) is None
    assert doors.session(f"{body}.{signature}", MONDAY) is not None


def test_a_forms_token_is_no_session_and_a_session_no_token(doors: Access) -> None:
    cookie = doors.begin("office", MONDAY)
    body, _, signature = cookie.partition(".")
    assert doors.form_token(cookie) != signature
    assert doors.session(f"{body}.{doors.form_token(body)}", MONDAY) is None
