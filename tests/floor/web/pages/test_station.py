"""The station screen: it answers what was read there, and takes reads itself."""

import re
from datetime import timedelta
from pathlib import Path
from typing import Any, get_args

import pytest

import floor.web
from floor.core.orders.jobs import hold
from floor.ledger import LedgerError
from floor.web.pages.station import AGE_MAX_S, LOOKS, NOTED, OUTCOMES, SPOILED
from shared.codes import CodeType
from shared.events.recorded import Recorded
from shared.files.cards import STATION_DOWN
from shared.files.jobfile import parse_job
from shared.files.shop import parse_shop
from shared.scan import Answer, Scan, Signal
from shared.words import LANGUAGES, Words
from tests.floor.web import rig
from tests.floor.web.crowd import scan
from tests.floor.web.rig import House, Reply
from tests.floor.web.visitor import Visitor, shown, walked
from tests.making import MONDAY, card, job_data, shop_data

BOOTH = "/station/pretreat%20booth"
JSON = {"Accept": "application/json"}
NAMES = [
    "a/b",
    "a/scan",
    "Tür & Tor",
    "50 %",
    "what?",
    "one#two",
    "a+b",
    "../..",
    "x;y",
    "<b>",
    '"quoted"',
    "a\\b",
    " ",
    "/",
]


def typed(house: House, code: str, station: str = BOOTH, script: bool = True, **fields: str) -> Reply:
    """A scan that the screen itself takes."""
    visitor = Visitor(house)
    headers = JSON if script else {}
    return visitor.post(f"{station}/scan", {"code": code, **fields}, page=station, headers=headers)


def from_screens(house: House) -> list[Recorded]:
    return [row for row in house.rows() if row.device and row.device.startswith("screen of")]


def test_a_station_at_which_nothing_was_read_is_ready(house: House) -> None:
    assert "Ready Scan a ticket." in shown(Visitor(house).get(BOOTH))


def test_it_shows_the_last_read_what_comes_next_and_what_waits(house: House) -> None:
    first, second = house.job(2)
    walked(house, first, stops=1)
    words = shown(Visitor(house).get(BOOTH))
    assert "● DONE" in words
    assert f"{first[:4]}" in words
    assert "Next: underlayer" in words
    assert second[-2:] in words.partition("take next")[2]


def test_a_press_shows_its_countdown_and_the_settings(house: House) -> None:
    [piece] = house.job()
    walked(house, piece, stops=5)
    page = Visitor(house).get("/station/press%201")
    assert "3:00" in shown(page)
    assert "165 °C" in shown(page)
    opens_at = house.clock.now() + timedelta(seconds=180)
    assert f'data-opens="{int(opens_at.timestamp() * 1_000)}"' in page.body.decode()


def test_an_answer_is_past_after_a_minute(house: House) -> None:
    [piece] = house.job()
    walked(house, piece, stops=1)
    assert b" past" not in Visitor(house).get(BOOTH).body
    house.clock.set(house.clock.now() + timedelta(seconds=61))
    assert b" past" in Visitor(house).get(BOOTH).body


def test_every_outcome_has_a_word_of_its_own() -> None:
    assert len({sign.word for sign in OUTCOMES.values()}) == len(OUTCOMES)


def test_what_is_done_but_needs_eyes_has_a_sign_and_a_sound_that_no_other_answer_has(house: House) -> None:
    [piece] = house.job()
    scan(house, piece, "printer 1")
    page = Visitor(house).get("/station/printer%201")
    assert "■ DONE, LOOK" in shown(page)
    assert "Not scanned, taken as done: pretreat." in shown(page)
    assert b'data-signal="look"' in page.body
    others = [*OUTCOMES.values(), SPOILED, NOTED]
    for sign in LOOKS.values():
        assert sign.shape not in {other.shape for other in others}
        assert sign.word not in {other.word for other in others}


def test_each_signal_has_a_sound_of_its_own() -> None:
    script = (Path(floor.web.__file__).parent / "static" / "station.js").read_text(encoding="utf-8")
    sounds = dict(re.findall(r"^  (\w+): (\{ hertz: .*\}),$", script, re.MULTILINE))
    assert sounds.keys() == set(get_args(Signal))
    assert len(set(sounds.values())) == len(sounds)


def test_what_waits_but_cannot_be_taken_is_counted_with_the_step_that_must_work_first(house: House) -> None:
    data = job_data(colour="white", sizes={"M": 3})
    [wet, *_] = house.service.take(parse_job(data, house.service.shop)).pieces
    scan(house, wet, "printer 1")
    scan(house, card(CodeType.COMMAND, STATION_DOWN), "press 1")
    for station, count in (("printer%201", 2), ("press%201", 1)):
        words = shown(Visitor(house).get(f"/station/{station}"))
        assert f"waiting here: {count}, until a station for cure works" in words
        assert "nothing waits here" not in words


def test_where_nothing_waits_it_says_so_though_no_press_works(house: House) -> None:
    house.job()
    scan(house, card(CodeType.COMMAND, STATION_DOWN), "press 1")
    assert "nothing waits here" in shown(Visitor(house).get("/station/printer%201"))


def test_what_waits_of_a_held_job_is_not_waited_for(house: House) -> None:
    house.service.take(parse_job(job_data(colour="white"), house.service.shop))
    house.service.record(lambda floor: ([hold(floor, "J0001", "", MONDAY)], None))
    scan(house, card(CodeType.COMMAND, STATION_DOWN), "press 1")
    assert "nothing waits here" in shown(Visitor(house).get("/station/printer%201"))


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_spoiled_piece_is_called_what_the_wall_counts(language: str) -> None:
    words = Words(language)
    assert words.say(SPOILED.word).lower() == words.say("spoiled").lower()


# Scans of the screen itself


def test_a_typed_code_is_answered_and_recorded_at_that_station(house: House) -> None:
    [piece] = house.job()
    reply = typed(house, piece)
    assert reply.json["outcome"] == "accepted"
    [row] = from_screens(house)
    assert (row.station, row.device, row.occurred_at) == ("pretreat booth", "screen of pretreat booth", MONDAY)


def test_without_script_one_comes_back_to_the_screen(house: House) -> None:
    [piece] = house.job()
    reply = typed(house, piece, script=False)
    assert (reply.status, reply.headers["location"]) == (303, BOOTH)
    assert "● DONE" in shown(Visitor(house).get(reply.headers["location"]))


def test_a_scan_that_is_sent_again_counts_once_and_is_answered_alike(house: House) -> None:
    [piece] = house.job()
    replies = [typed(house, piece, read_id="0123456789abcdef", age_s=str(age_s)).json for age_s in (0, 5, 60)]
    assert replies[0] == replies[1] == replies[2]
    assert len(from_screens(house)) == 1


def test_a_scan_that_was_kept_is_recorded_when_it_was_read(house: House) -> None:
    [piece] = house.job()
    typed(house, piece, age_s="600.5")
    assert from_screens(house)[0].occurred_at == MONDAY - timedelta(seconds=600.5)


@pytest.mark.parametrize("age_s", ["", "x", "-5", "nan", "-inf", "1,5"])
def test_an_age_that_makes_no_sense_is_now(house: House, age_s: str) -> None:
    typed(house, "12", age_s=age_s)
    assert from_screens(house)[0].occurred_at == MONDAY


@pytest.mark.parametrize("age_s", ["1e9", "inf", "1e400"])
def test_no_scan_is_older_than_a_screen_keeps_it(house: House, age_s: str) -> None:
    typed(house, "12", age_s=age_s)
    assert from_screens(house)[0].occurred_at >= MONDAY - timedelta(seconds=AGE_MAX_S)


def test_the_id_of_another_scan_is_refused(house: House) -> None:
    typed(house, "12", read_id="0123456789abcdef")
    assert typed(house, "1000000137", read_id="0123456789abcdef").status == 409


@pytest.mark.parametrize("code", ["", "  ", "\r\n"])
def test_nothing_is_no_scan(house: House, code: str) -> None:
    before = len(house.rows())
    assert typed(house, code).error["where"] == "code"
    assert len(house.rows()) == before


@pytest.mark.parametrize(
    "code", ["x" * 5_000, "\x00", "\x1b[2J", "<script>alert(1)</script>", "'; DROP TABLE events; --"]
)
def test_what_is_no_code_is_refused_and_kept(house: House, code: str) -> None:
    assert typed(house, code).json["reason"] == "not-a-code"
    assert len(from_screens(house)) == 1
    page = Visitor(house).get(BOOTH)
    assert "▲ STOP" in shown(page)
    assert b"<script>alert" not in page.body


def test_when_the_ledger_takes_nothing_the_screen_is_told_to_send_it_again(house: House) -> None:
    def full(_scan: Scan) -> Answer:
        raise LedgerError("full")

    house.scan = full
    reply = typed(house, "12", read_id="0123456789abcdef")
    assert reply.status == 503
    assert reply.headers["retry-after"] == "2"
    house.scan = house.service.scan
    assert typed(house, "12", read_id="0123456789abcdef").status == 200
    assert len(from_screens(house)) == 1


def test_a_station_that_is_not_there_is_no_page_and_takes_no_scan(house: House) -> None:
    visitor = Visitor(house)
    for reply in (
        visitor.get("/station/nowhere"),
        visitor.get("/live/station/nowhere"),
        visitor.post("/station/nowhere/scan", {"code": "12"}, page=BOOTH),
    ):
        assert reply.status == 404
        assert "There is no such station" in reply.body.decode()
    assert from_screens(house) == []


def stations(name: str) -> dict[str, Any]:
    first, *others = shop_data()["stations"]
    return shop_data(stations=[{**first, "name": name}, *others], scanners=[])


@pytest.mark.parametrize("name", NAMES)
def test_a_station_may_have_any_name(tmp_path_factory: pytest.TempPathFactory, name: str) -> None:
    with rig.house(tmp_path_factory.mktemp("shop"), its_shop=parse_shop(stations(name))) as house:
        [piece] = house.job()
        visitor = Visitor(house)
        link = link_to(visitor.get("/").body.decode())
        assert visitor.get(link).status == 200
        assert visitor.get(f"/live{link}", "HEAD").status == 200
        reply = typed(house, piece, link, script=False)
        assert (reply.status, reply.headers["location"]) == (303, link)
        assert from_screens(house)[0].station == name


def link_to(page: str) -> str:
    """The first link to a station."""
    _, start, rest = page.partition("/station/")
    return start + rest.partition('"')[0]
