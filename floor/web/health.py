"""Whether the floor is alive, and whether it could record a read right now.

Never says where or how the ledger is kept: anyone may ask.
"""

import asyncio

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from floor.doors.refusals import json
from floor.ledger import LedgerError
from floor.service.service import Service

READY_WITHIN_S = 2.0
"""How long the ledger may take before the floor calls itself not ready."""


class Health:
    """Answers whoever looks after the floor: an init system, a container, a proxy."""

    def __init__(self, service: Service) -> None:
        self._service = service
        self._probe: asyncio.Task[str] | None = None
        """At most one at a time: a ledger that hangs is not asked again by everyone who comes."""

    def routes(self) -> list[Route]:
        """What the app has to serve."""
        return [Route("/healthz", self.alive), Route("/readyz", self.ready)]

    async def alive(self, _request: Request) -> Response:
        """The process answers."""
        return json({"alive": True})

    async def ready(self, _request: Request) -> Response:
        """The ledger is written to as for a read, but for its row: then a read could be recorded, too."""
        if self._probe is None or self._probe.done():
            self._probe = asyncio.create_task(run_in_threadpool(self._writer_state))
        done, _ = await asyncio.wait({self._probe}, timeout=READY_WITHIN_S)
        state = self._probe.result() if done else "busy"
        age_s = self._service.last_append_age_s()
        answer = {"ready": state == "writing", "writer": state, "last_append_age_s": age_s}
        return json(answer, 200 if state == "writing" else 503)

    def _writer_state(self) -> str:
        try:
            self._service.prove()
        except LedgerError as error:
            return type(error).__name__.lower()
        return "writing"
