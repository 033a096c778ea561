"""What becomes of acknowledged reads when an older backup is restored, and when a backup finds no room."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from floor.cli.opening import Folder
from floor.ledger.copying import opened_copy
from shared.clock import SetClock
from shared.scan import Answer, Scan
from tests.floor.cli.desk import Desk
from tests.making import MONDAY
from tests.measured import WAIT_S

pytestmark = pytest.mark.fault
ZONES = ("Pacific/Kiritimati", "America/New_York")


class Bench:
    """Sends reads to the floor of a desk, and sends again what it heard no answer to."""

    def __init__(self, desk: Desk, pieces: list[str]) -> None:
        self.folder = Folder(desk.shop, SetClock(MONDAY))
        self.pieces = pieces

    def send(self, number: int) -> Answer:
        read = Scan(read_id=f"r-{number}", text=self.pieces[number], at=MONDAY, device="gun", station="pretreat booth")
        with self.folder.service() as service:
            return service.scan(read)

    def recorded(self) -> list[str]:
        with self.folder.ledger() as ledger:
            return [row.read_id for row in ledger.rows() if row.read_id]


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path, SetClock(MONDAY))


def test_restoring_an_older_backup_loses_no_acknowledged_read_without_a_word(desk: Desk) -> None:
    bench = Bench(desk, desk.job())
    backup = desk.folder / "monday.db"
    bench.send(0)
    assert desk("backup", str(backup)).exit_code == 0
    answers = {number: bench.send(number) for number in (1, 2)}  # the answer to the last is lost on its way
    kept = Path(desk.json("restore", str(backup), "--yes")["kept"])
    assert bench.send(2) == answers[2], "sent again: decided as before"
    bench.send(0)
    assert bench.recorded() == ["r-0", "r-2"], "each once"
    with opened_copy(kept) as aside:
        missing = {row.read_id for row in aside.rows() if row.read_id} - {*bench.recorded()}
    assert missing == {"r-1"}, "acknowledged after the backup: in the ledger that restore named"
    assert desk("check").exit_code == 0


@pytest.mark.root
def test_a_backup_that_finds_no_room_says_so_and_harms_nothing(desk: Desk, small_disk: Path) -> None:
    bench = Bench(desk, desk.job())
    (small_disk / "ballast").write_bytes(b"x" * 500_000)
    result = desk("backup", str(small_disk / "backup.db"))
    assert result.exit_code == 1
    assert len(result.stderr.splitlines()) == 1
    assert [file.name for file in small_disk.iterdir()] == ["ballast"]
    bench.send(0)
    assert bench.recorded() == ["r-0"]


A_DAY = """
import sys
from pathlib import Path
from floor.cli.opening import Folder
from tests.floor.cli.desk import Desk

desk = Desk(Path(sys.argv[1]))
desk.walk(desk.job()[0])
desk("scan", "1000000258", "--station", "pretreat booth", "--at", "2026-11-23T23:30:00")
for words in (("trace", "1000000161"), ("job", "show", "J0001"), ("report", "--week", "2026-W48"), ("board",)):
    print(desk(*words).output)
with Folder(desk.shop, desk.clock).ledger() as ledger:
    for row in ledger.rows():
        print(row.occurred_at, row.event.stream)
"""


def test_the_system_s_zone_changes_nothing_that_is_said_or_recorded(tmp_path: Path) -> None:
    """The shop's own zone counts alone."""
    one, other = (a_day_under(zone, tmp_path / str(number)) for number, zone in enumerate(ZONES))
    assert one == other
    assert "2026-11-24 04:30:00+00:00 1000000258" in one


def a_day_under(zone: str, folder: Path) -> str:
    """What is said and recorded on a day of a shop whose computer has a zone."""
    folder.mkdir()
    env = {**os.environ, "TZ": zone, "PYTHONPATH": str(Path(__file__).parents[2])}
    command = [sys.executable, "-c", A_DAY, str(folder)]
    done = subprocess.run(command, env=env, capture_output=True, text=True, check=True, timeout=WAIT_S)
    return done.stdout.replace(str(folder), "")
