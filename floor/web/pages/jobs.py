"""Jobs: which there are, how far each is, taking one from its file, and what can be done about it.

Never changes a job by a link: only by a form.
"""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from floor.core.cost.quote import quote_answer
from floor.core.orders.jobs import cancel, hold, release
from floor.core.state.floor import Floor
from floor.core.trace.history import job_answer
from floor.doors.refusals import not_found
from floor.wall.signs import job_sign
from floor.web.gate.guard import Caller
from floor.web.pages.site import Site, job_of, see_other
from floor.web.pages.uploads import order_of, uploads_of
from shared.events.recorded import Fact
from shared.files.problems import ProblemsFound
from shared.plain import plain
from shared.wish import NotPossible

Change = Callable[[Floor, str, str, datetime], Fact]
CHANGES: dict[str, Change] = {
    "hold": hold,
    "release": lambda floor, job, _why, now: release(floor, job, now),
    "cancel": cancel,
}
JOBS_SHOWN = 200
SURE = "yes"
"""What the form that gives a job up must say: there is no way back."""
NOT_SURE = "It was not given up: nobody said that they are sure."
UPLOAD_BYTES_MAX = 60_000_000
"""A job file with its artwork."""
WHY_MAX = 200


class JobPages:
    """/jobs and what hangs on each."""

    def __init__(self, site: Site, folder: Path) -> None:
        self._site = site
        self._folder = folder

    def routes(self) -> list[Route]:
        """What the app has to serve."""
        page = self._site.guard.page
        return [
            page("/jobs", self.jobs, "office", tab="Jobs"),
            page("/jobs", self.add, "office", ["POST"]),
            page("/jobs/{job}", self.job, "office"),
            page("/jobs/{job}/{change}", self.change, "office", ["POST"]),
        ]

    def jobs(self, request: Request, caller: Caller, status: int = 200, **more: Any) -> Response:
        shown = self._site.board()
        with self._site.floor() as floor:
            ended = [plain(job_answer(job)) for job in reversed(floor.jobs.values()) if job.finished][:JOBS_SHOWN]
        open_jobs = [(job, job_sign(job)) for job in shown.jobs]
        data = {"problems": [], "board": shown, "open_jobs": open_jobs, "ended": ended, **more}
        return self._site.page(request, caller, "jobs.html", status, **data)

    async def add(self, request: Request, caller: Caller) -> Response:
        """A job file with its artwork; refused whole with every problem, or taken."""
        form = await self._site.guard.form(request, caller, UPLOAD_BYTES_MAX)
        try:
            job = await run_in_threadpool(self._take, await uploads_of(form))
        except (ProblemsFound, NotPossible, ValueError) as error:
            problems = str(error).splitlines()
            return await run_in_threadpool(lambda: self.jobs(request, caller, 422, problems=problems))
        return see_other(f"/jobs/{job}")

    def _take(self, files: dict[str, bytes]) -> str:
        order = order_of(files, self._site.shop, self._folder)
        return self._site.service.take(order).job

    def job(self, request: Request, caller: Caller, status: int = 200, problem: str = "") -> Response:
        shown = self._site.board()
        with self._site.floor() as floor:
            job = job_of(floor, request.path_params["job"])
            answer = plain(job_answer(job, whole=True))
            quote = plain(quote_answer(job.lines, job.currency, self._site.shop.unit))
            lying = [(piece.code, piece.press) for piece in floor.lying.values() if piece.job == job.code]
        line = next(((each, job_sign(each)) for each in shown.jobs if each.job == job.code), None)
        data = {"job": answer, "quote": quote, "line": line, "lying": lying, "due": job.due, "problem": problem}
        return self._site.page(request, caller, "job.html", status, **data)

    async def change(self, request: Request, caller: Caller) -> Response:
        """Hold, release or cancel."""
        change = CHANGES.get(request.path_params["change"])
        if change is None:
            raise not_found("There is no such page")
        form = await self._site.guard.form(request, caller)
        if change is cancel and form.get("sure") != SURE:
            problem = self._site.words.say(NOT_SURE)
            return await run_in_threadpool(lambda: self.job(request, caller, 409, problem))
        job, why, now = request.path_params["job"], str(form.get("why", ""))[:WHY_MAX], self._site.now()

        def work(floor: Floor) -> tuple[list[Fact], None]:
            return [change(floor, job, why, now)], None

        try:
            await run_in_threadpool(self._site.service.record, work)
        except NotPossible as error:
            problem = str(error)
            return await run_in_threadpool(lambda: self.job(request, caller, 409, problem))
        return see_other(f"/jobs/{job}")
