"""The report of each week, written by the floor itself when the week is over, and anew when scans for it come late.

Never changes a report that was written: what came late makes a revision, under a name of its own.
"""

from collections.abc import Callable, Mapping
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import BinaryIO

import msgspec
from msgspec.structs import replace

from floor.core.figures.data import WeekReport
from floor.core.figures.week import week_report
from floor.core.state.floor import Floor
from floor.ledger.anchor import anchor_of
from floor.reports.answer import report_answer
from floor.reports.pdf import write_pdf
from floor.reports.workbook import write_workbook
from floor.service.chore import Chore
from floor.service.files import whole
from floor.service.service import Service
from shared.events.floor import WeekReported
from shared.events.recorded import Fact
from shared.files.shop import Shop

Writer = Callable[[WeekReport, Shop, BinaryIO], None]
WRITERS: Mapping[str, Writer] = {"pdf": write_pdf, "xlsx": write_workbook}


class WeeklyReports:
    """Writes the report of a week when it is due: `chore` is looked at each minute."""

    def __init__(self, service: Service, shop_folder: Path, say: Callable[[str], None]) -> None:
        self.folder = shop_folder / service.shop.file.reports.folder
        self.chore = Chore(self._look, service.clock, self._failed)
        self._service = service
        self._say = say

    def _look(self, now: datetime) -> None:
        shop = self._service.shop
        if not shop.file.reports.weekly:
            return
        with self._service.watcher.looking() as floor:  # a report takes seconds: no scan must wait for it
            for week in floor.closed_weeks.due(shop.hours, floor.began, now) if floor.began else ():
                self.chore.go_on()
                self._report(floor, week, now)

    def _report(self, floor: Floor, week: str, now: datetime) -> None:
        """Write a week's report if it is the first, or says something else than the last."""
        shop = self._service.shop
        report = week_report(floor, shop, week, now)
        digest = _digest(report)
        before = floor.closed_weeks.weeks.get(week)
        same = before is not None and before.digest == digest
        revision = before.revision + (not same) if before else 0
        anchor = str(anchor_of(self._service.ledger.noted_head()))
        if not same:
            self._write(replace(report, revision=revision, anchor=anchor))
        _, end = shop.hours.week_bounds(week)
        event = WeekReported(week=week, end=end, revision=revision, digest=digest, anchor=anchor)
        self._service.record(lambda _floor: ([Fact(event=event, occurred_at=now)], None))

    def _write(self, report: WeekReport) -> None:
        self.folder.mkdir(parents=True, exist_ok=True)
        mark = f"-revision-{report.revision}" if report.revision else ""
        for form, write in WRITERS.items():
            file = self.folder / f"{report.week}{mark}.{form}"
            with whole(file) as out:
                write(report, self._service.shop, out)
            self._say(f"The report of week {report.week}{mark.replace('-', ' ')} is in {file}.")

    def _failed(self, error: Exception) -> None:
        self._say(f"The week's report was not written: {error}. It is tried again after the next full hour.")


def _digest(report: WeekReport) -> str:
    return sha256(msgspec.json.encode(report_answer(report), order="sorted")).hexdigest()
