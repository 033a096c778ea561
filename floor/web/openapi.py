"""The description of what the floor offers over HTTP, for programs and those who write them: OpenAPI 3.1.

Never drifts from what is checked: the shapes are those that requests are decoded with.
"""

from typing import Any

import msgspec
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from floor.doors.refusals import json
from shared.delivery import BODY_BYTES_MAX, PATH, READS_MAX, Delivery, Receipt, Refused

_REFUSALS = {
    "400": "The body is no JSON.",
    "401": "No bench has this token.",
    "408": "The body did not come in time: send it again.",
    "409": "The read id belongs to another read.",
    "413": f"The body has more than {BODY_BYTES_MAX} bytes.",
    "421": "The floor does not go by the name in Host.",
    "422": "The body is JSON, but no read.",
    "500": "The floor made a mistake: send it again later.",
    "503": "The ledger cannot take a read just now: keep it, and send it again.",
}


def routes() -> list[Route]:
    """What the app has to serve."""
    description = openapi()

    async def get(_request: Request) -> Response:
        return json(description)

    return [Route("/api/openapi.json", get)]


def openapi() -> dict[str, Any]:
    """The description."""
    (delivery, receipt, problem), shapes = msgspec.json.schema_components(
        (Delivery, Receipt, Refused), ref_template="#/components/schemas/{name}"
    )
    refusals = {status: _answer(words, problem) for status, words in _REFUSALS.items()}
    post = {
        "summary": "Send reads to the floor",
        "description": "A read that is sent twice counts once. Of a list, as many are answered as were recorded.",
        "security": [{"bench": []}],
        "requestBody": {"required": True, "content": _one_or_many(delivery)},
        "responses": {"200": {"description": "Recorded.", "content": _one_or_many(receipt)}, **refusals},
    }
    return {
        "openapi": "3.1.0",
        "info": {"title": "piecewalk", "version": "1", "description": "The floor of a print shop."},
        "paths": {
            PATH: {"post": post},
            "/api/board": {"get": _plain("The floor at this moment, as `piecewalk board --json` answers it")},
            "/healthz": {"get": _plain("Whether the process answers")},
            "/readyz": {"get": _plain("Whether a read could be recorded right now")},
        },
        "components": {"schemas": shapes, "securitySchemes": {"bench": {"type": "http", "scheme": "bearer"}}},
    }


def _one_or_many(shape: dict[str, Any]) -> dict[str, Any]:
    several = {"type": "array", "items": shape, "minItems": 1, "maxItems": READS_MAX}
    return {"application/json": {"schema": {"oneOf": [shape, several]}}}


def _answer(words: str, shape: dict[str, Any]) -> dict[str, Any]:
    return {"description": words, "content": {"application/json": {"schema": shape}}}


def _plain(summary: str) -> dict[str, Any]:
    return {"summary": summary, "responses": {"200": {"description": "Yes."}, "503": {"description": "No."}}}
