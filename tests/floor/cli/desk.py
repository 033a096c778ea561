"""A shop folder on a desk, and somebody who types commands; and the job that is mostly taken there."""

import json
from datetime import timedelta
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from floor.cli.main import main
from floor.cli.opening import Folder
from shared.clock import Clock, SetClock
from tests.making import MONDAY

FRIDAY = MONDAY + timedelta(days=4)
"""When commands are typed, if nobody sets the clock: what is walked on Monday lies in the past."""


def job_text(sizes: str = "S = 1, M = 2", more: str = "", width_mm: int = 305, height_mm: int = 330) -> str:
    """A job file: one line of dark garments."""
    return f"""
customer = "Harbour rowing club"
due = 2030-12-02T16:00:00
[[lines]]
design = "oars"
item = "heavy tee"
colour = "navy"
sizes = {{ {sizes} }}
price_each = "21.50"
[[lines.prints]]
place = "front"
{more}
width_mm = {width_mm}
height_mm = {height_mm}
"""


JOB = job_text()


class Desk:
    """A shop folder and somebody who types commands, by a clock that stands unless another is brought."""

    def __init__(self, folder: Path, clock: Clock | None = None) -> None:
        self.folder = folder
        self.shop = folder / "shop"
        self.clock = clock or SetClock(FRIDAY)
        self.runner = CliRunner()
        assert self("init", str(self.shop)).exit_code == 0

    def __call__(self, *words: str, stdin: str | bytes | None = None) -> Result:
        folder = Folder(self.shop, self.clock)
        return self.runner.invoke(main, ["--shop", str(self.shop), *words], input=stdin, obj=folder)

    def json(self, *words: str, stdin: str | bytes | None = None, status: int = 0) -> Any:
        result = self(*words, "--json", stdin=stdin)
        assert result.exit_code == status, result.output
        return json.loads(result.stdout)

    def back_up(self, name: str) -> None:
        """Make a backup in the folder of backups, as the floor does at night."""
        folder = self.shop / "backups"
        folder.mkdir()
        assert self("backup", str(folder / name)).exit_code == 0

    def job(self) -> list[str]:
        pieces: list[str] = self.json("job", "add", "-", stdin=JOB)["pieces"]
        return pieces

    def rewrite(self, old: str, new: str) -> None:
        """Change the shop file, wherever it says so."""
        file = self.shop / "shop.toml"
        text = file.read_text(encoding="utf-8")
        assert old in text
        file.write_text(text.replace(old, new), encoding="utf-8")

    def walk(self, piece: str) -> None:
        """By hand, at moments in the past, through the whole dark route."""
        for minute, station in enumerate(
            ("pretreat booth", "printer 1", "inspection", "printer 1", "press 1", "press 1", "packing")
        ):
            at = f"2026-11-23T09:{4 * minute:02}:00"
            assert self.json("scan", piece, "--station", station, "--at", at)["outcome"] in {"accepted", "started"}
