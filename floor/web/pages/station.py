"""The station screen: what the last scan there did, what comes next, and scans typed or seen by the screen itself.

Never answers a scan by itself: the floor does, and the screen shows it.
"""

from collections import Counter
from collections.abc import Callable
from datetime import timedelta
from typing import Any
from urllib.parse import quote
from uuid import uuid4

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from floor.core.plan.stopped import kept_by, stopped
from floor.core.state.floor import Floor
from floor.doors.refusals import NotTaken, json, not_found, wants_html
from floor.ledger import LedgerError
from floor.service.service import ReadIdReused
from floor.wall.curing import presses_of
from floor.wall.signs import Sign
from floor.web.gate.guard import Caller
from floor.web.gate.live import Drawn
from floor.web.pages.site import Site, see_other
from shared.delivery import Refusal
from shared.files.shop import Shop
from shared.harmless import harmless
from shared.scan import Answer, OutcomeWord, Scan
from shared.words import Words
from tickets.settings import setting_words

FRESH = timedelta(seconds=60)
"""As long the last answer stands large; after that it is no longer what the hands are at."""
AGE_MAX_S = 86_400.0 * 7
"""No screen keeps a scan for longer: an older one says that the screen's clock was moved."""
CODE_MAX = 256
OUTCOMES: dict[OutcomeWord, Sign] = {
    "accepted": Sign("DONE", "fine"),
    "started": Sign("STARTED", "fine"),
    "repeated": Sign("READ AGAIN", "calm"),
    "kept": Sign("KEPT", "calm"),
    "refused": Sign("STOP", "urgent"),
}
LOOKS = {"accepted": Sign("DONE, LOOK", "soon", "■"), "started": Sign("STARTED, LOOK", "soon", "■")}
"""What was done all the same, and needs eyes: never to be taken for what was simply done."""
SPOILED = Sign("SPOILED", "soon")
NOTED = Sign("NOTED", "calm")


class StationPages:
    """/station/NAME, its stream, and the scans that it takes."""

    def __init__(self, site: Site, scan: Callable[[Scan], Answer]) -> None:
        self._site = site
        self._scan = scan

    def routes(self) -> list[Route]:
        """What the app has to serve."""
        return [
            *self._site.live_pages("/station/{name:path}", self.get, self.stream, "station"),
            self._site.guard.page("/station/{name:path}/scan", self.take, "station", ["POST"]),
        ]

    def get(self, request: Request, caller: Caller) -> Response:
        return self._site.page(request, caller, "station.html", **self._view(self._station(request)))

    async def stream(self, request: Request, caller: Caller) -> Response:
        station = self._station(request)
        return self._site.stream(request, caller, f"/station/{station}", lambda: self._draw(station))

    async def take(self, request: Request, caller: Caller) -> Response:
        """A scan of the screen itself. Raises NotTaken, and then the screen keeps it and sends it again."""
        station = self._station(request)
        form = await self._site.guard.form(request, caller)
        scan = self._as_scan(station, {name: str(value) for name, value in form.items()})
        try:
            answer = await run_in_threadpool(self._scan, scan)
        except ReadIdReused as error:
            raise NotTaken(409, Refusal(what=str(error), do="Scan it again")) from error
        except LedgerError as error:
            refusal = Refusal(what="The ledger cannot take a scan just now", do="It is sent again by itself")
            raise NotTaken(503, refusal, {"Retry-After": "2"}) from error
        return see_other(f"/station/{quote(station)}") if wants_html(request) else json(answer)

    def _as_scan(self, station: str, form: dict[str, str]) -> Scan:
        text = form.get("code", "").strip()[:CODE_MAX]
        if not text:
            raise NotTaken(422, Refusal(what="There is no code", where="code", do="Scan it again"))
        at = self._site.now() - timedelta(seconds=_age_s(form.get("age_s", "0")))
        read_id = harmless(form.get("read_id", ""), 64) or uuid4().hex
        return Scan(read_id=f"screen {read_id}", text=text, at=at, device=f"screen of {station}", station=station)

    def _station(self, request: Request) -> str:
        name: str = request.path_params["name"]
        if name not in self._site.shop.stations:
            raise not_found("There is no such station", name)
        return name

    def _draw(self, station: str) -> Drawn:
        view = self._view(station)
        return self._site.drawn("station_now.html", **view)

    def _view(self, station: str) -> dict[str, Any]:
        with self._site.floor(in_alarm=True) as floor:
            shown = self._site.board(in_alarm=True)
            view = station_view(floor, station, self._site.words)
            turns = [(turn, *_looks(floor, turn.piece)) for turn in shown.next.get(station, ())]
            kept = _kept(floor, self._site.shop, station)
        presses = [press for press in presses_of(shown) if press.station == station]
        return {"board": shown, "station": station, "presses": presses, "turns": turns, "kept": kept, **view}


def station_view(floor: Floor, station: str, words: Words) -> dict[str, Any]:
    """What a station remembers, as its screen shows it."""
    known = floor.stations.get(station)
    last = known.last_read if known else None
    answer, at = (last.read.answer, last.at) if last else (None, None)
    hands = known.hands_at(at) if known and at else None
    return {
        "answer": answer,
        "at": at,
        "fresh_s": FRESH.total_seconds(),
        "sign": sign_of(answer) if answer else None,
        "settings": _settings(answer, words),
        "hands": hands[0] if hands else None,
    }


def sign_of(answer: Answer) -> Sign:
    """What an answer is called in a word: what was spoiled, or only noted, must not look like a step that was done."""
    if answer.remake:
        return SPOILED
    if answer.look and answer.outcome in LOOKS:
        return LOOKS[answer.outcome]
    return NOTED if answer.outcome == "accepted" and answer.piece is None else OUTCOMES[answer.outcome]


def _looks(floor: Floor, code: str) -> tuple[str, str]:
    """What a piece is called, and what it looks like: nobody finds a shirt in a pile by its code."""
    piece = floor.pieces[code]
    line = floor.line_of(piece)
    return f"{piece.job} {line.design}", f"{line.item}, {line.colour}, {piece.size}"


def _kept(floor: Floor, shop: Shop, station: str) -> Counter[str]:
    """How many pieces wait for a step of a station and cannot be taken, by the stopped step that keeps them."""
    steps, idle = shop.stations[station].steps, stopped(floor, shop)
    waiting = (piece for piece in floor.open.values() if piece.step and piece.step.key in steps and not piece.in_work)
    kept = (kept_by(piece, idle) for piece in waiting if not floor.jobs[piece.job].held)
    return Counter(step for step in kept if step)


def _settings(answer: Answer | None, words: Words) -> list[str]:
    return [setting_words(key, value, words) for key, value in answer.settings.items()] if answer else []


def _age_s(text: str) -> float:
    """How long ago the screen read it; now, where it says nothing that makes sense."""
    try:
        age_s = msgspec.convert(text, float, strict=False)
    except msgspec.ValidationError:
        return 0.0
    return min(age_s, AGE_MAX_S) if age_s > 0 else 0.0
