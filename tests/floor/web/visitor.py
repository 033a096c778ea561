"""Somebody who looks at the pages with a browser that runs no script."""

import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import timedelta
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlencode

import pytest
from urllib3.filepost import encode_multipart_formdata

from floor.doors import access
from floor.doors.access import ROLES, Role
from floor.web.gate.guard import COOKIE, TOKEN_FIELD
from tests.floor.web import rig
from tests.floor.web.rig import House, Reply, read
from tests.making import DARK_WALK

HERE = "127.0.0.1:8765"
FORM = "application/x-www-form-urlencoded"
Files = Sequence[tuple[str, tuple[str, bytes]]]


class Visitor:
    """Knows the cookie that the shop gave, and nothing else."""

    def __init__(
        self,
        house: House,
        role: Role | None = None,
        *,
        client: str = "127.0.0.1",
        host: str = HERE,
        headers: Mapping[str, str] | None = None,
    ) -> None:
        """With a role, somebody who has signed in already."""
        self.house = house
        self.client = client
        self.headers = {"Host": host, "Accept": "text/html", **(headers or {})}
        if role:
            self.headers["Cookie"] = f"{COOKIE}={house.access.begin(role, house.clock.now())}"

    def get(self, address: str, method: str = "GET", headers: Mapping[str, str] | None = None) -> Reply:
        """A page, by its address as it stands in a link."""
        return self._call(method, address, b"", headers)

    def post(
        self,
        address: str,
        fields: Mapping[str, str],
        *,
        page: str | None = None,
        files: Files | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> Reply:
        """A form, with the token that stands on a page."""
        if page:
            fields = {TOKEN_FIELD: self.token_on(page), **fields}
        if files is None:
            body, kind = urlencode(fields).encode(), FORM
        else:
            body, kind = encode_multipart_formdata([*fields.items(), *files])
        lengths = {"Content-Type": kind, "Content-Length": str(len(body))}
        reply = self._call("POST", address, body, {**lengths, **(headers or {})})
        if cookie := reply.headers.get("set-cookie"):
            self.headers["Cookie"] = cookie.partition(";")[0]
        return reply

    def token_on(self, page: str) -> str:
        """The token of the forms on a page."""
        found = re.search(rf'name="{TOKEN_FIELD}" value="([^"]+)"', self.get(page).body.decode())
        assert found, f"there is no form on {page}"
        return unescape(found[1])

    def sign_in(self, password: str, to: str = "/") -> Reply:
        """Give a password; the cookie that comes is kept."""
        return self.post("/login", {"password": password, "to": to}, page="/login")

    def _call(self, method: str, address: str, body: bytes, headers: Mapping[str, str] | None) -> Reply:
        path, _, query = address.partition("?")
        more: dict[str, Any] = {"headers": {**self.headers, **(headers or {})}, "client": self.client}
        return self.house.call(method, unquote(path), body, query=query, **more)


def shown(reply: Reply) -> str:
    """The words of a page, without its marks."""
    return " ".join(re.sub(r"<[^>]*>", " ", reply.body.decode()).split())


def walked(house: House, piece: str, stops: int) -> None:
    """Walk a dark garment, and let the time pass that it takes."""
    for number, (station, after_s) in enumerate(DARK_WALK[:stops], house.ledger.head()):
        house.clock.set(house.clock.now() + timedelta(seconds=after_s))
        moment = {"at": house.clock.now().isoformat(), "station": station}
        assert house.post({**read(number, piece), **moment}).json["answer"]["outcome"] in {"accepted", "started"}


@contextmanager
def locked(folder: Path) -> Iterator[House]:
    """A floor with a job, whose every role has a password, quick to try."""
    with pytest.MonkeyPatch.context() as patch, rig.house(folder) as house:
        patch.setattr(access, "SCRYPT_N", 16)
        for role in ROLES:
            house.access.set(role, f"the password of {role}")
        house.job()
        yield house
