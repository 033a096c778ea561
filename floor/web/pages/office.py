"""The rest of the office: pieces, papers, presses, care tasks and the week.

Never changes anything: these pages only show.
"""

from io import BytesIO
from pathlib import Path
from typing import Any

from msgspec.structs import replace
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from floor.core.figures.data import WeekReport
from floor.core.figures.job_columns import JOB_COLUMNS
from floor.core.figures.week import week_report
from floor.core.state.piece import Piece
from floor.core.trace.history import piece_answer
from floor.doors.refusals import not_found
from floor.ledger.anchor import anchor_of
from floor.papers.travellers import tickets_of, write_travellers
from floor.reports.weekly import WRITERS
from floor.wall.curing import presses_of
from floor.wall.signs import wet_sign
from floor.web.gate.guard import Caller, Page
from floor.web.pages.site import Site, job_of, piece_of
from shared.hours import ONE_DAY
from shared.plain import plain

MEDIA_TYPES = {
    "pdf": "application/pdf",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


class OfficePages:
    """What the office looks at."""

    def __init__(self, site: Site, folder: Path) -> None:
        self._site = site
        self._folder = folder

    def routes(self) -> list[Route]:
        """What the app has to serve."""
        page = self._site.guard.page
        return [
            page("/jobs/{job}/travellers.pdf", self.travellers, "office"),
            page("/pieces/{piece}", self.piece, "office"),
            page("/pieces/{piece}/ticket.pdf", self.ticket, "office"),
            *self._site.live_pages("/presses", self.presses, self.stream, "office", tab="Presses"),
            page("/care", self.care, "office", tab="Care"),
            page("/week", self.week, "office", tab="Week"),
            page("/week/{week}", self.week, "office"),
            *(page(f"/week/{{week}}/report.{form}", self._file_of(form), "office") for form in WRITERS),
        ]

    def piece(self, request: Request, caller: Caller) -> Response:
        with self._site.floor() as floor:
            answer = plain(piece_answer(floor, self._site.shop, piece_of(floor, request.path_params["piece"])))
        return self._site.page(request, caller, "piece.html", piece=answer)

    def ticket(self, request: Request, _caller: Caller) -> Response:
        with self._site.floor() as floor:
            piece = piece_of(floor, request.path_params["piece"])
        return self._paper([piece])

    def travellers(self, request: Request, _caller: Caller) -> Response:
        with self._site.floor() as floor:
            job = job_of(floor, request.path_params["job"])
        return self._paper([piece for piece in job.pieces if piece.state == "open"])

    def _paper(self, pieces: list[Piece]) -> Response:
        if not pieces:
            raise not_found("No piece of it is open")
        out = BytesIO()
        with self._site.floor() as floor:
            tickets = tickets_of(floor, self._site.shop, self._folder, pieces)
        write_travellers(tickets, self._site.shop, out)
        return _download(out, MEDIA_TYPES["pdf"])

    def presses(self, request: Request, caller: Caller) -> Response:
        return self._site.page(request, caller, "presses.html", **self._presses())

    async def stream(self, request: Request, caller: Caller) -> Response:
        """The presses, as they change."""
        return self._site.stream(
            request, caller, "/presses", lambda: self._site.drawn("presses_now.html", **self._presses())
        )

    def _presses(self) -> dict[str, Any]:
        shown = self._site.board()
        wet = [(each, wet_sign(each)) for each in shown.wet]
        return {"board": shown, "presses": presses_of(shown), "wet": wet}

    def care(self, request: Request, caller: Caller) -> Response:
        with self._site.floor() as floor:
            tasks = [(care, floor.cared.get(care.name), floor.began) for care in self._site.shop.file.care]
            due = {alarm.subject for alarm in floor.alarms.values() if alarm.kind == "care due"}
        return self._site.page(request, caller, "care.html", tasks=tasks, due=due)

    def week(self, request: Request, caller: Caller) -> Response:
        report, hours = self._report(request), self._site.shop.hours
        start, end = hours.week_bounds(report.week)
        before, after = hours.week_of(start - ONE_DAY), hours.week_of(end)
        return self._site.page(
            request, caller, "week.html", report=report, columns=JOB_COLUMNS, before=before, after=after
        )

    def _file_of(self, form: str) -> Page:
        """The page that gives a week's report as a file of a form, such as "pdf"."""

        def file(request: Request, _caller: Caller) -> Response:
            out = BytesIO()
            report = self._report(request)
            anchor = str(anchor_of(self._site.service.ledger.noted_head()))
            WRITERS[form](replace(report, anchor=anchor), self._site.shop, out)
            return _download(out, MEDIA_TYPES[form])

        return file

    def _report(self, request: Request) -> WeekReport:
        """A week's report. Raises NotTaken."""
        shop, now = self._site.shop, self._site.now()
        week = request.path_params.get("week") or shop.hours.week_of(now)
        try:
            with self._site.floor() as floor:
                return week_report(floor, shop, week, now)
        except (ValueError, OverflowError) as error:  # no week, or the first or last one of the calendar
            raise not_found("There is no such week", week) from error


def _download(out: BytesIO, media_type: str) -> Response:
    return Response(out.getvalue(), media_type=media_type, headers={"Cache-Control": "no-store"})
