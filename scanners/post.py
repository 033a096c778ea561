"""One request to the floor, and which of the things that can come of it did.

Never raises for what the network or the floor does, and never sends the token anywhere but to the floor.
"""

import re
from collections.abc import Callable, Sequence

import msgspec
import urllib3
from msgspec import Struct

from shared.delivery import BODY_BYTES_MAX, PATH, Delivery, Receipt, Refused

CONNECT_WITHIN_S = 2.0
ANSWER_WITHIN_S = 5.0
"""How long the floor may say nothing: more than its database may keep it waiting for a lock."""
REPLY_BYTES_MAX = 2**20
"""A hundred answers take a tenth of it."""

BARRED = (401, 403)
MALFORMED = (400, 409, 413, 422)
"""Only with the floor's own words beside it: a gateway in between may say 400 to everything."""
_OBJECT = re.compile(r"^\w+\(host='[^']*', port=\d+\): ")
_TOKEN = re.compile(r"[\w.~+/=-]{16,200}", re.ASCII)


class Answered(Struct, frozen=True):
    """The floor has recorded the first reads of the request, or all: their receipts."""

    receipts: tuple[Receipt, ...]


class Malformed(Struct, frozen=True):
    """The floor will never take this request; nothing of it was recorded."""

    why: str


class Tripped(Struct, frozen=True):
    """The floor stumbled over this request: it may take others."""

    why: str


class Barred(Struct, frozen=True):
    """The floor does not know this bench's token."""

    why: str


class Unreached(Struct, frozen=True):
    """Whether the floor recorded the reads is not known: send them again. `wait_s` is what the floor asked for."""

    why: str
    wait_s: float = 0.0


Reply = Answered | Malformed | Tripped | Barred | Unreached


Post = Callable[[Sequence[Delivery]], Reply]
"""Sends reads to the floor, once, and says what came of it."""


class NoToken(Exception):
    """There is no token to be had: why, in one line."""


class HttpPost:
    """Posts to a floor's address. For one thread at a time.

    `token` is asked before each request, so that a new one counts without a restart; it may raise NoToken. One that
    the floor has barred is not sent again.
    """

    def __init__(self, url: str, token: Callable[[], str], answer_within_s: float = ANSWER_WITHIN_S) -> None:
        self._url = url.rstrip("/") + PATH
        self._token = token
        self._barred: tuple[str, Barred] | None = None
        self._pool = urllib3.PoolManager(
            timeout=urllib3.Timeout(connect=CONNECT_WITHIN_S, read=answer_within_s),
            retries=False,  # nor redirects: the token is for the floor alone
        )

    def __call__(self, deliveries: Sequence[Delivery]) -> Reply:
        """Send reads, once. A redirect is not followed."""
        try:
            token = self._token()
        except NoToken as error:
            return Unreached(str(error))
        if self._barred and self._barred[0] == token:
            return self._barred[1]
        reply = self._send(deliveries, token)
        self._barred = (token, reply) if isinstance(reply, Barred) else None
        return reply

    def close(self) -> None:
        """Let go of the connections."""
        self._pool.clear()

    def _send(self, deliveries: Sequence[Delivery], token: str) -> Reply:
        headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}
        try:
            response = self._pool.request(
                "POST", self._url, body=body_of(deliveries), headers=headers, preload_content=False
            )
            try:
                text = response.read(REPLY_BYTES_MAX, decode_content=False)
            finally:
                response.close()
        except (urllib3.exceptions.HTTPError, OSError) as error:
            return Unreached(_why(error))
        return understood(response.status, text, response.headers.get("Retry-After", ""), deliveries)


def body_of(deliveries: Sequence[Delivery]) -> bytes:
    """As many of the reads, from the first on, as the floor takes in one request."""
    body = b"["
    for part in map(msgspec.json.encode, deliveries):
        if len(body) > 1 and len(body) + len(part) > BODY_BYTES_MAX - 1:
            break
        body += part + b","
    return body[:-1] + b"]"


def understood(status: int, body: bytes, retry_after: str, deliveries: Sequence[Delivery]) -> Reply:
    """What a response means. Whatever is not plainly the floor's word is as if it was not reached."""
    if status == 200:
        return _receipts(body, deliveries)
    words = _words(body)
    if words is None:
        return Unreached(f"the answer {status} is not the floor's: check the address")
    if status in BARRED:
        return Barred(words)
    if status in MALFORMED:
        return Malformed(words)
    if status == 500:
        return Tripped(words)
    return Unreached(words, float(retry_after) if re.fullmatch(r"[0-9]{1,3}", retry_after) else 0.0)


def checked_token(text: str) -> str:
    """A token as it lies in its file. Raises NoToken for what cannot be one."""
    token = text.strip()
    if not _TOKEN.fullmatch(token):
        raise NoToken("the token file holds no token: write the one in it that `piecewalk bench add` showed")
    return token


def _receipts(body: bytes, deliveries: Sequence[Delivery]) -> Reply:
    try:
        receipts = msgspec.json.decode(body, type=tuple[Receipt, ...])
    except (msgspec.MsgspecError, UnicodeDecodeError):
        return Unreached("the answer is not the floor's: check the address")
    sent = [delivery.read_id for delivery in deliveries[: len(receipts)]]
    if not receipts or [receipt.read_id for receipt in receipts] != sent:
        return Unreached("the floor answered to something else than what was sent")
    return Answered(receipts)


def _words(body: bytes) -> str | None:
    try:
        return msgspec.json.decode(body, type=Refused).error.line()
    except (msgspec.MsgspecError, UnicodeDecodeError):
        return None


def _why(error: Exception) -> str:
    """What happened, without the classes and addresses that the library puts around it."""
    inner = error.args[-1] if error.args and isinstance(error.args[-1], Exception) else error
    return _OBJECT.sub("", str(inner)) or type(inner).__name__
