"""Jobs in the office: how far each is, and what is done about it by a form."""

from datetime import timedelta

import pytest

from floor.ledger import Busy, LedgerError
from shared.codes import CodeType, grouped
from shared.files.cards import STATION_DOWN
from tests.floor.web.crowd import scan
from tests.floor.web.rig import House, Reply, read
from tests.floor.web.visitor import Visitor, shown, walked
from tests.making import card


def changed(house: House, change: str, why: str = "", job: str = "J0001") -> Reply:
    return Visitor(house).post(f"/jobs/{job}/{change}", {"why": why, "sure": "yes"}, page="/jobs")


def test_a_job_is_not_given_up_by_a_slip_of_the_hand(house: House) -> None:
    house.job()
    reply = Visitor(house).post("/jobs/J0001/cancel", {"why": ""}, page="/jobs")
    assert (reply.status, state(house)) == (409, "open")
    assert "nobody said that they are sure" in shown(reply)


def state(house: House) -> str:
    with house.service.reading() as floor:
        job = floor.jobs["J0001"]
        return "cancelled" if job.cancelled else "held" if job.held else "open"


def test_jobs_are_listed_with_their_progress_and_when_they_are_expected(house: House) -> None:
    first, _ = house.job(2)
    walked(house, first, stops=7)
    page = Visitor(house).get("/jobs")
    assert "J0001 Harbour rowing club" in shown(page)
    assert '<progress value="1" max="2"' in page.body.decode()


def test_what_is_finished_or_cancelled_stands_apart(house: House) -> None:
    house.job()
    assert "Finished and cancelled" not in shown(Visitor(house).get("/jobs"))
    changed(house, "cancel")
    words = shown(Visitor(house).get("/jobs"))
    assert "No job is open." in words
    assert "J0001" in words.partition("Finished and cancelled")[2]


def test_a_job_shows_its_pieces_and_its_quote(house: House) -> None:
    first, _ = house.job(2)
    walked(house, first, stops=1)
    words = shown(Visitor(house).get("/jobs/J0001"))
    assert "underlayer" in words
    assert "pretreat" in words
    assert "21.50" in words
    assert "43.00" in words


def test_a_job_is_held_let_go_on_and_given_up(house: House) -> None:
    house.job()
    states = []
    for change in ("hold", "release", "cancel"):
        reply = changed(house, change)
        assert (reply.status, reply.headers["location"]) == (303, "/jobs/J0001")
        states.append(state(house))
    assert states == ["held", "open", "cancelled"]


def test_a_job_that_is_given_up_with_a_piece_in_a_press_says_what_to_take_out_until_it_is_out(house: House) -> None:
    [piece] = house.job()
    walked(house, piece, stops=5)
    say = "It is still in press 1: take it out, and scan it there."
    assert say not in shown(Visitor(house).get("/jobs/J0001"))
    changed(house, "cancel")
    assert f"{grouped(piece)} : {say}" in shown(Visitor(house).get("/jobs/J0001"))
    moment = {"at": house.clock.advance(timedelta(minutes=1)).isoformat(), "station": "press 1"}
    assert house.post({**read(99, piece), **moment}).json["answer"]["outcome"] == "accepted"
    assert say not in shown(Visitor(house).get("/jobs/J0001"))


def test_why_is_kept(house: House) -> None:
    house.job()
    changed(house, "hold", why="the customer calls back")
    assert getattr(house.rows()[-1].event, "why", None) == "the customer calls back"
    for address in ("/jobs", "/jobs/J0001", "/wall"):
        assert "the customer calls back" in shown(Visitor(house).get(address)), address
    changed(house, "cancel", why="no blanks left")
    for address in ("/jobs", "/jobs/J0001"):
        assert "no blanks left" in shown(Visitor(house).get(address)), address


def test_the_page_offers_what_can_be_done(house: House) -> None:
    house.job()
    offered = []
    for change in ("hold", "release", "cancel"):
        page = Visitor(house).get("/jobs/J0001").body.decode()
        offered.append([form for form in ("hold", "release", "cancel") if f'action="/jobs/J0001/{form}"' in page])
        changed(house, change)
    assert offered == [["hold", "cancel"], ["release", "cancel"], ["hold", "cancel"]]
    assert "/cancel" not in Visitor(house).get("/jobs/J0001").body.decode()


@pytest.mark.parametrize("change", ["release", "hold"])
def test_what_cannot_be_done_is_said_and_changes_nothing(house: House, change: str) -> None:
    house.job()
    if change == "hold":
        changed(house, "hold")
    before = len(house.rows())
    reply = changed(house, change)
    assert reply.status == 409
    assert "on hold" in shown(reply)
    assert len(house.rows()) == before


def test_a_link_changes_nothing(house: House) -> None:
    house.job()
    before = len(house.rows())
    for change in ("hold", "release", "cancel"):
        for method in ("GET", "HEAD", "PUT", "DELETE", "OPTIONS"):
            assert Visitor(house).get(f"/jobs/J0001/{change}", method).status == 405
    assert len(house.rows()) == before


@pytest.mark.parametrize("job", ["J9999", "j0001", "J0001 ", "<b>", "..", "%00", "%1B[2J", "ä", "J" * 3_000, "'; --"])
def test_a_job_that_is_not_there_is_said_harmlessly(house: House, job: str) -> None:
    house.job()
    visitor = Visitor(house)
    for reply in (
        visitor.get(f"/jobs/{job}"),
        visitor.get(f"/jobs/{job}/travellers.pdf"),
        changed(house, "hold", job=job),
    ):
        assert reply.status == 404
        assert "There is no such job" in shown(reply)
        assert b"\x1b" not in reply.body
    assert state(house) == "open"


def test_there_are_no_other_changes(house: House) -> None:
    house.job()
    assert changed(house, "finish").status == 404


@pytest.mark.parametrize("error", [LedgerError("gone"), Busy("too much")])
def test_a_ledger_that_takes_nothing_is_said(house: House, monkeypatch: pytest.MonkeyPatch, error: LedgerError) -> None:
    house.job()
    visitor = Visitor(house)
    token = {"form_token": visitor.token_on("/jobs"), "why": ""}

    def refuse(_work: object) -> None:
        raise error

    monkeypatch.setattr(house.service, "record", refuse)
    for reply in (
        visitor.post("/jobs/J0001/hold", token),
        visitor.post("/jobs/J0001/hold", token, headers={"Accept": "application/json"}),
    ):
        assert (reply.status, reply.headers["retry-after"]) == (503, "2")
        assert b"The ledger cannot be used just now" in reply.body


def test_while_no_press_works_a_job_is_stuck_wherever_it_is_shown(house: House) -> None:
    house.job()
    scan(house, card(CodeType.COMMAND, STATION_DOWN), "press 1")
    for page in ("/jobs", "/jobs/J0001", "/wall"):
        words = shown(Visitor(house).get(page))
        assert "▲ STUCK" in words, page
        assert "ON TIME" not in words, page
