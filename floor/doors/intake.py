"""Where benches send their reads: POST /api/scans.

Never answers a read before it is in the ledger, and lets a bench's token do nothing else.
"""

import asyncio
from collections.abc import Callable, Sequence

import msgspec
from msgspec.structs import replace
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response
from starlette.routing import Route

from floor.doors.benches import Benches
from floor.doors.private_file import PrivateFileError
from floor.doors.refusals import NotTaken, json
from floor.ledger import LedgerError
from floor.service.service import ReadIdReused
from shared.clock import Clock
from shared.delivery import BODY_BYTES_MAX, PATH, READS_MAX, Delivery, Receipt, Refusal, occurred_at
from shared.scan import Answer, Scan

BODY_WITHIN_S = 10.0
"""How long a bench may take to send its reads."""
AGAIN_IN_S = "2"

_one = msgspec.json.Decoder(Delivery)
_many = msgspec.json.Decoder(list[Delivery])


class Intake:
    """Takes what benches send. `scan` records a read and answers it, as floor.service.service does."""

    def __init__(self, scan: Callable[[Scan], Answer], benches: Benches, clock: Clock) -> None:
        self._scan = scan
        self._benches = benches
        self._clock = clock

    def routes(self) -> list[Route]:
        """What the app has to serve."""
        return [Route(PATH, self.post, methods=["POST"])]

    async def post(self, request: Request) -> Response:
        """One read, or up to a hundred in a list; receipts in kind.

        A list whose later reads cannot be recorded just now is answered as far as it was: the rest is to be sent
        again. Raises NotTaken, and then nothing was recorded.
        """
        bench = self._bench(request)
        deliveries, in_a_list = decoded(await body_of(request))
        receipts = await run_in_threadpool(self._take, bench, deliveries)
        return json(receipts if in_a_list else receipts[0])

    def _bench(self, request: Request) -> str:
        scheme, _, token = request.headers.get("Authorization", "").partition(" ")
        try:
            bench = self._benches.who(token.strip()) if scheme.lower() == "bearer" else None
        except PrivateFileError:
            raise _not_now("It is not known just now which benches there are") from None
        if bench is None:
            refusal = Refusal(
                what="No bench has this token",
                where="Authorization",
                allowed="Bearer TOKEN",
                do="Make one with: piecewalk bench add NAME",
            )
            raise NotTaken(401, refusal, {"WWW-Authenticate": 'Bearer realm="piecewalk"'})
        return bench

    def _take(self, bench: str, deliveries: Sequence[Delivery]) -> list[Receipt]:
        receipts: list[Receipt] = []
        for delivery in deliveries:
            try:
                answer = self._scan(self._as_scan(bench, delivery))
            except (ReadIdReused, LedgerError) as error:
                if receipts:
                    break
                raise _not_recorded(error) from error
            receipts.append(Receipt(read_id=delivery.read_id, answer=answer))
        return receipts

    def _as_scan(self, bench: str, delivery: Delivery) -> Scan:
        return Scan(
            read_id=delivery.read_id,
            text=delivery.text,
            at=occurred_at(delivery.at, delivery.age_s, self._clock.now()),
            device=f"{bench}: {delivery.device}",  # two benches may each have a "gun 1"
            station=delivery.station,
            badge=delivery.badge,
        )


async def body_of(request: Request) -> bytes:
    """The body of a request, if it is of a decent size and comes in a decent time. Raises NotTaken."""
    body = bytearray()
    try:
        async with asyncio.timeout(BODY_WITHIN_S):
            async for chunk in request.stream():
                body += chunk
                if len(body) > BODY_BYTES_MAX:
                    raise NotTaken(413, _wrong("The body is too long", f"{len(body)} bytes", "Send fewer reads"))
    except TimeoutError:
        raise NotTaken(408, Refusal(what="The body did not come in time", do="Send it again")) from None
    except ClientDisconnect:
        raise NotTaken(408, Refusal(what="The body ended early", do="Send it again")) from None
    return bytes(body)


def decoded(body: bytes) -> tuple[list[Delivery], bool]:
    """The reads of a body, and whether they came as a list. Raises NotTaken."""
    in_a_list = body.lstrip(b" \t\r\n").startswith(b"[")
    try:
        deliveries = _many.decode(body) if in_a_list else [_one.decode(body)]
    except msgspec.ValidationError as error:
        what, _, where = str(error).partition(" - at ")
        raise NotTaken(422, replace(_wrong(what, "", "Mend that key"), where=where.strip("`") or "$")) from None
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise NotTaken(400, _wrong("The body is no JSON", str(error)[:200], "Send JSON in UTF-8")) from None
    if not 1 <= len(deliveries) <= READS_MAX:
        raise NotTaken(422, _wrong("The list is too short or too long", f"{len(deliveries)} reads", "Split it"))
    return deliveries, in_a_list


def _wrong(what: str, found: str, do: str) -> Refusal:
    allowed = f"one read, or a list of 1 to {READS_MAX}, in at most {BODY_BYTES_MAX} bytes; see /api/openapi.json"
    return Refusal(what=what, where="body", found=found, allowed=allowed, do=do)


def _not_recorded(error: Exception) -> NotTaken:
    if isinstance(error, ReadIdReused):
        refusal = Refusal(what=str(error), where="read_id", do="Give each read an id of its own")
        return NotTaken(409, refusal)
    return _not_now("The ledger cannot take a read just now")


def _not_now(what: str) -> NotTaken:
    return NotTaken(503, Refusal(what=what, do="Keep the read, and send it again"), {"Retry-After": AGAIN_IN_S})
