"""Who may open the pages: a password for each role, kept as what it hashes to, and the sessions that follow from it.

Never stores a password, and never tells which of them was wrong.
"""

import hmac
import secrets
from base64 import b64encode, urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Mapping
from datetime import datetime, timedelta
from hashlib import scrypt, sha256
from pathlib import Path
from typing import Literal, get_args

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from floor.doors.private_file import PrivateFile, PrivateFileError

FILE_NAME = "access.json"
Role = Literal["view", "station", "office"]
ROLES: tuple[Role, ...] = get_args(Role)
"""Each may do what those before it may: look at the wall, scan at a station, run the office."""
LASTS: Mapping[Role, timedelta] = {
    "view": timedelta(days=90),
    "station": timedelta(days=30),
    "office": timedelta(hours=12),
}
"""How long a session lasts: nobody has a keyboard at the wall."""
PASSWORD_MIN = 8
SCRYPT_N, SCRYPT_R, SCRYPT_P = 2**14, 8, 5
"""OWASP, "Password Storage Cheat Sheet": N = 2^14, r = 8, p = 5, 16 MiB."""


class KeptAccess(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the file holds."""

    secret: bytes
    """Signs the sessions and the forms; 256 random bits."""
    salt: bytes
    """One for all roles: then one try costs one hash, whichever role it is meant for."""
    passwords: dict[Role, bytes] = {}
    """What each role's password hashes to."""
    ended: dict[str, datetime] = {}
    """Sessions that somebody signed out of, until they would be over anyway: their cookies may have been copied."""


class Session(Struct, frozen=True, kw_only=True):
    """Somebody who gave a password: what it lets them do, until when, and which session of many it is."""

    role: Role
    until: datetime
    name: str


class Access:
    """The passwords of a shop's folder, as new as their file."""

    def __init__(self, folder: Path) -> None:
        fresh = KeptAccess(secret=secrets.token_bytes(32), salt=secrets.token_bytes(16))
        self._file = PrivateFile(folder / FILE_NAME, KeptAccess, fresh)

    def keep(self) -> None:
        """Have a file, so that forms and sessions outlive this process. Raises PrivateFileError."""
        with self._file.changing() as kept:
            if not self._file.exists():
                self._file.write(kept)

    def roles(self) -> list[Role]:
        """The roles that have a password. Raises PrivateFileError."""
        return [role for role in ROLES if role in self._file.read().passwords]

    def set(self, role: Role, password: str) -> None:
        """Give a role a password; sessions of an old one end. Raises PrivateFileError."""
        if len(password) < PASSWORD_MIN:
            raise PrivateFileError(f"The password is too short. Choose one of {PASSWORD_MIN} characters or more.")
        with self._file.changing() as kept:
            hashed = _scrypt(password, kept.salt)
            if any(other == hashed for name, other in kept.passwords.items() if name != role):
                raise PrivateFileError("Another role has that password. Choose one that no other has.")
            self._file.write(replace(kept, passwords={**kept.passwords, role: hashed}))

    def remove(self, role: Role) -> None:
        """Take a role's password away; its sessions end. Raises PrivateFileError."""
        with self._file.changing() as kept:
            if role not in kept.passwords:
                raise PrivateFileError(f"The role {role} has no password. Nothing to do.")
            rest = {name: hashed for name, hashed in kept.passwords.items() if name != role}
            self._file.write(replace(kept, passwords=rest))

    def role_of(self, password: str) -> Role | None:
        """The role that a password opens, or None. Takes a tenth of a second or more, on purpose."""
        kept = self._file.read()
        hashed = _scrypt(password, kept.salt)
        fitting = [role for role in ROLES if hmac.compare_digest(kept.passwords.get(role, b""), hashed)]
        return fitting[-1] if fitting else None

    def begin(self, role: Role, now: datetime) -> str:
        """A new session, as the text of a cookie."""
        session = Session(role=role, until=now + LASTS[role], name=secrets.token_urlsafe(12))
        body = urlsafe_b64encode(msgspec.json.encode(session)).decode()
        return f"{body}.{self._sign(role, body)}"

    def end(self, cookie: str, now: datetime) -> None:
        """Whoever comes with that cookie from now on has no session. Raises PrivateFileError."""
        session = self.session(cookie, now)
        if session is None:
            return
        with self._file.changing() as kept:
            still = {name: until for name, until in kept.ended.items() if until > now}
            self._file.write(replace(kept, ended={**still, session.name: session.until}))

    def session(self, cookie: str, now: datetime) -> Session | None:
        """The session of a cookie; None where it was not signed here, is over, or its password was changed since.

        It is over when its time is, or when somebody signed out of it.
        """
        body, _, signature = cookie.partition(".")
        try:
            session = msgspec.json.decode(urlsafe_b64decode(body.encode()), type=Session)
        except (ValueError, msgspec.MsgspecError):
            return None
        if session.role not in self.roles():
            return None
        good = hmac.compare_digest(self._sign(session.role, body).encode(), signature.encode("utf-8", "replace"))
        over = now >= session.until or session.name in self._file.read().ended
        return session if good and not over else None

    def form_token(self, session: str) -> str:
        """What a form of that session must bring back; nobody else's page can know it."""
        return self._mac(b"form", session)

    def _sign(self, role: Role, body: str) -> str:
        return self._mac(self._file.read().passwords.get(role, b""), body)

    def _mac(self, key: bytes, text: str) -> str:
        return b64encode(hmac.digest(self._file.read().secret + key, text.encode(), sha256), b"-_").decode()


def _scrypt(text: str, salt: bytes) -> bytes:
    return scrypt(text.encode("utf-8", "replace"), salt=salt, n=SCRYPT_N, r=SCRYPT_R, p=SCRYPT_P, maxmem=2**26)
