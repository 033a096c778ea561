"""The remake printer: it never stands in the way of a scan."""

from pathlib import Path
from typing import Any

import pytest

from floor.ledger import MemoryLedger
from floor.papers import remakes
from floor.papers.remakes import RemakePrinter
from floor.service.service import Service
from shared.clock import SetClock
from shared.files.shop import parse_shop
from shared.scan import Answer
from tests.floor.service.test_service import read, take_job
from tests.making import MONDAY, shop_data
from tests.measured import WAIT_S


def test_a_scan_is_answered_while_a_remake_s_traveller_is_drawn(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    printing = shop_data()
    printing["shop"] = {**printing["shop"], "print_command": "true {file}"}
    said: list[str] = []
    answered: list[str] = []
    with Service(parse_shop(printing), MemoryLedger(), SetClock(MONDAY)) as service:
        one, other = take_job(service, pieces=2).pieces

        def draw(*_: Any) -> None:
            answered.append(service.submit(read(other)).result(WAIT_S).outcome)

        monkeypatch.setattr(remakes, "write_travellers", draw)
        printer = RemakePrinter(service, tmp_path, said.append)
        printer.start()
        printer.offer(Answer(outcome="accepted", say="", remake=one))
        printer.stop()
    assert (answered, said) == (["accepted"], [])
