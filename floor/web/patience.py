"""How long a connection may be silent, and how many one address may hold: nobody shuts the benches out.

Never cuts off a request that is being answered.
"""

import asyncio
from typing import cast

from uvicorn.protocols.http.h11_impl import H11Protocol

REQUEST_WITHIN_S = 10.0
"""From the connection, or from the first byte of a later request, to the end of its head."""
PER_ADDRESS_MAX = 120
"""More pages than any one machine shows; a proxy that speaks for many keeps few connections open."""
ALL_MAX = 180
"""Less than the server takes: of silent ones the oldest makes room before anybody is told to come back later."""


class PatientProtocol(H11Protocol):
    """HTTP as uvicorn speaks it, for a while."""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """A client has come."""
        super().connection_made(transport)
        self._since = self.loop.time()
        self._deadline: asyncio.TimerHandle | None = None
        self._expect_a_request()
        self._make_room()

    def data_received(self, data: bytes) -> None:
        """A piece of a request, or of several."""
        if self._is_silent():
            self._expect_a_request()
        super().data_received(data)
        if not self._is_silent():
            self._expect_nothing()

    def connection_lost(self, exc: Exception | None) -> None:
        """The client has gone."""
        self._expect_nothing()
        super().connection_lost(exc)

    def _is_silent(self) -> bool:
        return self.cycle is None or self.cycle.response_complete

    def _expect_a_request(self) -> None:
        if self._deadline is None:
            self._deadline = self.loop.call_later(REQUEST_WITHIN_S, self._give_up)

    def _expect_nothing(self) -> None:
        if self._deadline is not None:
            self._deadline.cancel()
            self._deadline = None

    def _give_up(self) -> None:
        self.transport.close()

    def _make_room(self) -> None:
        others = [cast(PatientProtocol, each) for each in self.connections if each is not self]
        same = [other for other in others if other.client and self.client and other.client[0] == self.client[0]]
        if len(same) >= PER_ADDRESS_MAX:
            (_oldest_silent(same) or self)._give_up()
        elif len(others) >= ALL_MAX and (silent := _oldest_silent(others)):
            silent._give_up()


def _oldest_silent(connections: "list[PatientProtocol]") -> "PatientProtocol | None":
    silent = [each for each in connections if each._is_silent() and not each.transport.is_closing()]
    return min(silent, key=lambda each: each._since, default=None)
