"""Why a request was not answered: the same shape for every reason, as the commands have it with `--json`.

Never says more than the one who asked may know.
"""

from collections.abc import Mapping
from http import HTTPStatus

import msgspec
from msgspec.structs import replace
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from shared.delivery import Refusal, Refused
from shared.harmless import harmless

_WHAT_TO_DO = {
    404: "See /api/openapi.json for what there is",
    405: "See /api/openapi.json for what may be done here",
}
MISTAKE = Refusal(what="The floor made a mistake", do="It is in the floor's log.")


class NotTaken(Exception):
    """A request that is not answered as was wished: a status, the reason, and what to do about it."""

    def __init__(self, status: int, refusal: Refusal, headers: Mapping[str, str] | None = None) -> None:
        super().__init__(refusal.what)
        self.status = status
        self.refusal = refusal
        self.headers = headers


def refused(status: int, refusal: Refusal, headers: Mapping[str, str] | None = None) -> Response:
    """A refusal as a response."""
    return json(Refused(error=refusal), status, headers)


def json(answer: object, status: int = 200, headers: Mapping[str, str] | None = None) -> Response:
    """An answer as JSON that nobody keeps."""
    body = msgspec.json.encode(answer)
    always = {"Cache-Control": "no-store", "X-Content-Type-Options": "nosniff"}
    return Response(body, status, {**always, **(headers or {})}, media_type="application/json")


def not_found(what: str, found: str = "") -> NotTaken:
    """There is no such job, piece or station."""
    return NotTaken(404, Refusal(what=what, found=harmless(found, 40), do="Go back, and choose another."))


def wants_html(request: Request) -> bool:
    """Whether a person's browser asks."""
    return "text/html" in request.headers.get("Accept", "")


async def on_not_taken(_request: Request, error: Exception) -> Response:
    """One of our own refusals."""
    assert isinstance(error, NotTaken), error
    return refused(error.status, error.refusal, error.headers)


async def on_http(request: Request, error: Exception) -> Response:
    """No such page, no such method."""
    assert isinstance(error, HTTPException), error
    refusal = Refusal(
        what=HTTPStatus(error.status_code).phrase,
        where=f"{request.method} {harmless(request.url.path, 80)}",
        do=_WHAT_TO_DO.get(error.status_code, ""),
    )
    return refused(error.status_code, refusal, error.headers)


async def on_mistake(request: Request, _error: Exception) -> Response:
    """A mistake of ours: the log has the rest of it."""
    return refused(500, replace(MISTAKE, where=f"{request.method} {harmless(request.url.path, 80)}"))
