"""Reads go down a wire, and their answers are waited for."""

from collections.abc import Iterator
from datetime import timedelta

import pytest

from demo_shop import play
from demo_shop.play import Player
from demo_shop.promises import NotAsPromised
from floor.ledger import LedgerError, MemoryLedger
from floor.service.service import Service
from shared.clock import SetClock
from shared.codes import CodeType
from shared.events.floor import AlarmRaised
from shared.files.shop import Shop, parse_shop
from shared.scan import Answer, Scan
from tests.making import MONDAY, card, shop_data

HOUR = timedelta(hours=1)


def two_scanner_shop() -> Shop:
    scanners = [
        {"name": "booth gun", "port": "/nowhere/booth", "station": "pretreat booth"},
        {"name": "pack gun", "port": "/nowhere/pack", "station": "packing"},
    ]
    return parse_shop(shop_data(scanners=scanners, care=[{"name": "stir white ink", "every": "8h"}]))


@pytest.fixture
def service() -> Iterator[Service]:
    with Service(two_scanner_shop(), MemoryLedger(), SetClock(MONDAY)) as service:
        yield service


@pytest.fixture
def player(service: Service) -> Iterator[Player]:
    assert isinstance(service.clock, SetClock)
    with Player(service, service.clock) as player:
        yield player


def test_a_read_comes_from_the_station_of_its_scanner_at_its_moment(player: Player) -> None:
    (answer,) = player.read(MONDAY + HOUR, "pack gun", [card(CodeType.BADGE, "A")])
    assert answer.say == "A works at packing."
    assert (player.heard[-1].scan.at, player.heard[-1].scan.device) == (MONDAY + HOUR, "pack gun")


def test_two_reads_at_one_pull_of_the_trigger_have_two_answers(player: Player) -> None:
    answers = player.read(MONDAY, "booth gun", [card(CodeType.BADGE, "A")] * 2)
    assert [answer.outcome for answer in answers] == ["accepted", "repeated"]


def test_what_falls_due_on_the_way_is_recorded_at_its_own_moment(service: Service, player: Player) -> None:
    player.read(MONDAY, "booth gun", [card(CodeType.BADGE, "A")])
    player.pass_time(MONDAY + 12 * HOUR)
    with service.reading() as floor:
        (alarm,) = floor.alarms.values()
    assert alarm.kind == "care due"
    rows = list(service._ledger.rows())
    assert [row.occurred_at for row in rows if isinstance(row.event, AlarmRaised)] == [MONDAY + 8 * HOUR]
    assert service.clock.now() == MONDAY + 12 * HOUR


def test_a_read_that_is_not_recorded_ends_the_demo(
    service: Service, player: Player, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_scan: Scan) -> Answer:
        raise LedgerError("the disk is full")

    monkeypatch.setattr(service, "scan", full)
    with pytest.raises(NotAsPromised, match="booth gun: not recorded: the disk is full"):
        player.read(MONDAY, "booth gun", [card(CodeType.BADGE, "A")])


def test_an_answer_that_does_not_come_ends_the_demo(player: Player, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(play, "ANSWER_WITHIN_S", 0.01)
    monkeypatch.setattr(player._scanners["booth gun"], "type", lambda _codes: None)
    with pytest.raises(NotAsPromised, match="booth gun: no answer"):
        player.read(MONDAY, "booth gun", [card(CodeType.BADGE, "A")])


def test_a_read_that_is_heard_from_another_scanner_ends_the_demo(player: Player) -> None:
    player._scanners["booth gun"], player._scanners["pack gun"] = (
        player._scanners["pack gun"],
        player._scanners["booth gun"],
    )
    with pytest.raises(NotAsPromised, match="booth gun was typed on, and pack gun was heard"):
        player.read(MONDAY, "booth gun", [card(CodeType.BADGE, "A")])
