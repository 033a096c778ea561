"""What becomes of acknowledged reads when an older backup is restored, and when a backup finds no room."""

import time
from pathlib import Path

import pytest

from floor.cli.opening import Folder
from floor.ledger.copying import opened_copy
from shared.clock import SetClock
from shared.scan import Answer, Scan
from tests.floor.cli.desk import Desk
from tests.making import MONDAY

pytestmark = pytest.mark.fault


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


@pytest.mark.parametrize(
    "words",
    [
        *(("trace", "J0001"), ("job", "show", "J0001"), ("report", "--week", "2026-W48"), ("board",)),
        ("scan", "1000000258", "--station", "pretreat booth", "--at", "2026-11-23T09:30:00"),
    ],
    ids=lambda words: words[0],
)
def test_the_system_s_zone_changes_nothing_that_is_said_or_recorded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    """The shop's own zone counts alone."""
    said = dict[str, str]()
    for zone in ("Pacific/Kiritimati", "America/New_York"):
        folder = tmp_path / zone.partition("/")[0]
        folder.mkdir()
        with monkeypatch.context() as patch:
            patch.setenv("TZ", zone)
            time.tzset()
            desk = Desk(folder)
            desk.walk(desk.job()[0])
            said[zone] = desk(*words).stdout.replace(str(folder), "")
            with Folder(desk.shop, desk.clock).ledger() as ledger:
                said[zone] += "".join(f"{row.occurred_at} {row.event}\n" for row in ledger.rows() if not row.read_id)
                said[zone] += "".join(f"{row.occurred_at}\n" for row in ledger.rows())
    time.tzset()
    one, other = said.values()
    assert one == other
    assert len(one.splitlines()) > 8
