"""What a bench sends is recorded once, answered in kind, or refused with a reason."""

import itertools
import json
import random
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from floor.core.folds.fold import fold_all
from floor.ledger import Unavailable
from shared.delivery import BODY_BYTES_MAX, READS_MAX
from shared.scan import Answer, Scan
from tests.floor.web.rig import House, read
from tests.making import DARK_WALK, MONDAY

HOUR_S = 3_600


def walk_of(code: str, first: int = 0) -> list[dict[str, Any]]:
    """The reads of a dark garment's whole walk, as they are sent an hour after its beginning."""
    reads, after_s = [], 0.0
    for n, (station, wait_s) in enumerate(DARK_WALK):
        after_s += wait_s
        sent = {"station": station, "device": f"gun {station}", "age_s": HOUR_S - after_s}
        reads.append(read(first + n, code, after_s, **sent))
    return reads


# Answers


def test_a_read_is_answered_as_it_would_be_at_the_floor(house: House) -> None:
    (code,) = house.job()
    reply = house.post(read(1, code, station="pretreat booth"))
    assert reply.status == 200
    assert reply.json["read_id"] == "read-000001"
    answer = reply.json["answer"]
    assert (answer["outcome"], answer["step"], answer["next"]) == ("accepted", "pretreat", "underlayer")


def test_a_refused_read_is_an_answer_too(house: House) -> None:
    reply = house.post(read(code="not a code"))
    assert (reply.status, reply.json["answer"]["reason"]) == (200, "not-a-code")


def test_an_answered_read_is_in_the_ledger_with_where_it_came_from(house: House) -> None:
    house.post(read(1, station="packing", badge="A"))
    row = house.row("read-000001")
    assert (row.device, row.station, row.badge) == ("north: gun", "packing", "A")


def test_several_reads_are_answered_in_their_order(house: House) -> None:
    (code,) = house.job()
    house.clock.advance(timedelta(hours=1))
    reply = house.post(*walk_of(code))
    assert [each["read_id"] for each in reply.json] == [f"read-{n:06}" for n in range(7)]
    assert reply.json[-1]["answer"]["say"].endswith("Finished.")


def test_a_list_of_one_is_answered_with_a_list(house: House) -> None:
    reply = house.call("POST", "/api/scans", json.dumps([read()]).encode(), headers=house.auth)
    assert [each["read_id"] for each in reply.json] == ["read-000001"]


def test_nobody_keeps_an_answer(house: House) -> None:
    assert house.post(read()).headers["cache-control"] == "no-store"


# Once


def test_a_read_that_is_sent_again_counts_once_and_is_answered_alike(house: House) -> None:
    (code,) = house.job()
    sent = read(1, code, station="pretreat booth")
    first, rows = house.post(sent), len(house.rows())
    house.clock.advance(timedelta(minutes=5))
    again = house.post({**sent, "age_s": 300})
    assert (again.json, len(house.rows())) == (first.json, rows)


@pytest.mark.fault
@pytest.mark.parametrize("seed", range(10))
def test_reads_that_come_once_or_thrice_leave_the_same_ledger(house: House, seed: int, tmp_path: Any) -> None:
    codes = house.job(pieces=3)
    house.clock.advance(timedelta(hours=1))
    reads = [each for n, code in enumerate(codes) for each in walk_of(code, first=10 * n)]
    luck = random.Random(seed)
    for each in reads:
        for _ in range(luck.randint(1, 3)):
            assert house.post(each).status == 200
    ids = [row.read_id for row in house.rows() if row.read_id]
    assert ids == [each["read_id"] for each in reads]
    assert all(piece.state == "finished" for piece in fold_all(house.rows()).pieces.values())


@pytest.mark.fault
@pytest.mark.parametrize("seed", range(10))
def test_reads_that_come_in_any_order_are_each_recorded_once_and_stop_nothing(house: House, seed: int) -> None:
    codes = house.job(pieces=2)
    house.clock.advance(timedelta(hours=1))
    reads = [each for n, code in enumerate(codes) for each in walk_of(code, first=10 * n)]
    random.Random(seed).shuffle(reads)
    for n in range(0, len(reads), 4):
        assert house.post(*reads[n : n + 4]).status == 200
    assert sorted(row.read_id for row in house.rows() if row.read_id) == sorted(each["read_id"] for each in reads)
    with house.service.reading() as live:
        assert fold_all(house.rows()) == live


def test_an_id_that_belongs_to_another_read_is_refused(house: House) -> None:
    house.post(read(1, "11"))
    reply = house.post(read(1, "12"))
    assert reply.status == 409
    assert reply.error["where"] == "read_id"


def test_two_benches_may_have_a_scanner_of_one_name(house: House) -> None:
    south = {"Authorization": f"Bearer {house.benches.add('south', MONDAY)}"}
    house.post(read(1))
    house.post(read(2), headers=south)
    assert [house.row(f"read-{n:06}").device for n in (1, 2)] == ["north: gun", "south: gun"]


# When


@pytest.mark.parametrize("off", [timedelta(hours=-3), timedelta(hours=3), datetime(1970, 1, 1, tzinfo=UTC) - MONDAY])
def test_a_bench_whose_clock_is_wrong_by_hours_is_corrected_by_the_age_of_the_read(
    house: House, off: timedelta
) -> None:
    house.clock.advance(timedelta(minutes=30))
    house.post(read(1, at=(MONDAY + off).isoformat(), age_s=1_800))
    assert house.row("read-000001").occurred_at == MONDAY


def test_a_bench_whose_clock_is_right_is_taken_at_its_word(house: House) -> None:
    house.clock.advance(timedelta(minutes=30))
    at = MONDAY + timedelta(seconds=1, microseconds=5)
    house.post(read(1, at=at.isoformat(), age_s=1_799))
    assert house.row("read-000001").occurred_at == at


# Who


@pytest.mark.parametrize(
    "auth",
    [None, "", "Bearer", "Bearer ", "Bearer x", "Basic {token}", "{token}", "Bearer {token}x", "Bearer näht"],
)
def test_without_a_benchs_token_nothing_is_taken(house: House, auth: str | None) -> None:
    headers = {} if auth is None else {"Authorization": auth.format(token=house.token)}
    reply = house.post(read(), headers=headers)
    assert (reply.status, reply.headers["www-authenticate"]) == (401, 'Bearer realm="piecewalk"')
    assert "bench add" in reply.error["do"]
    assert house.rows() == []


def test_a_shop_without_benches_takes_nothing_not_even_from_its_own_machine(house: House) -> None:
    house.benches.revoke("north")
    assert house.post(read()).status == 401


def test_a_token_counts_from_the_moment_it_is_made_until_it_is_revoked(house: House) -> None:
    south = {"Authorization": f"Bearer {house.benches.add('south', MONDAY)}"}
    assert house.post(read(1), headers=south).status == 200
    house.benches.revoke("south")
    assert house.post(read(2), headers=south).status == 401
    assert house.post(read(3)).status == 200


def test_a_token_lets_a_bench_do_nothing_but_post_scans(house: House) -> None:
    for method, path in [("GET", "/api/scans"), ("DELETE", "/api/scans"), ("PUT", "/api/scans")]:
        assert house.call(method, path, headers=house.auth).status == 405
    reply = house.get("/metrics", headers=house.auth, client="192.0.2.7")
    assert reply.status == 403


def test_while_it_is_not_known_which_benches_there_are_a_bench_keeps_its_reads(house: House, tmp_path: Any) -> None:
    (tmp_path / "benches.json").write_text("{")
    reply = house.post(read())
    assert (reply.status, reply.headers["retry-after"]) == (503, "2")
    assert str(tmp_path) not in reply.body.decode()


# What is no read


@pytest.mark.parametrize(
    ("body", "status", "where"),
    [
        (b"", 400, "body"),
        (b"{", 400, "body"),
        (b"\xff\xfe", 400, "body"),
        (b'{"text": "\xff"}', 400, "body"),
        (b"[" * 30_000, 422, "$[0]"),
        (b'{"read_id": ' + b"[" * 30_000, 422, "$.read_id"),
        (b'{"colour": ' + b"[" * 30_000, 422, "$"),
        (b"9" * 10_000, 422, "$"),
        (b"null", 422, "$"),
        (b"[]", 422, "body"),
        (b"{}", 422, "$"),
        (b"[1]", 422, "$[0]"),
        (json.dumps(read(text="\x1b[2J")).encode(), 422, "$.text"),
        (json.dumps([read(1), read(2, colour="navy")]).encode(), 422, "$[1]"),
    ],
)
def test_what_is_no_read_is_refused_whole_with_the_place_that_is_wrong(
    house: House, body: bytes, status: int, where: str
) -> None:
    reply = house.call("POST", "/api/scans", body, headers=house.auth)
    assert (reply.status, reply.error["where"]) == (status, where)
    assert house.rows() == []


def test_a_hundred_reads_are_taken_and_one_more_is_not(house: House) -> None:
    reads = [read(n, str(n)) for n in range(READS_MAX + 1)]
    assert house.post(*reads).status == 422
    assert house.rows() == []
    assert house.post(*reads[:-1]).status == 200
    assert len(house.rows()) == READS_MAX


def test_a_body_of_the_greatest_length_is_read_and_a_longer_one_is_not(house: House) -> None:
    body = json.dumps(read()).encode()
    padded = body + b" " * (BODY_BYTES_MAX - len(body))
    assert house.call("POST", "/api/scans", padded, headers=house.auth).status == 200
    assert house.call("POST", "/api/scans", padded + b" ", headers=house.auth).status == 413


def test_an_endless_body_is_given_up_at_the_limit(house: House) -> None:
    taken = itertools.count()

    class Pieces(list[bytes]):
        def __iter__(self) -> Any:
            for _ in range(1_000_000):
                next(taken)
                yield b" " * 1_000

    reply = house.call("POST", "/api/scans", Pieces(), headers=house.auth)
    assert (reply.status, reply.error["found"]) == (413, "66000 bytes")


def test_a_body_that_comes_in_pieces_is_one_body(house: House) -> None:
    body = json.dumps(read()).encode()
    pieces = [body[n : n + 7] for n in range(0, len(body), 7)]
    assert house.call("POST", "/api/scans", pieces, headers=house.auth).status == 200


# When the floor cannot


def test_a_read_that_cannot_be_recorded_is_to_be_sent_again(house: House) -> None:
    house.scan = _failing_from(0, house)
    reply = house.post(read(1), read(2))
    assert (reply.status, reply.headers["retry-after"]) == (503, "2")
    assert "send it again" in reply.error["do"]
    assert house.rows() == []


def test_of_several_reads_those_are_answered_that_were_recorded(house: House) -> None:
    house.scan = _failing_from(2, house)
    reply = house.post(*(read(n, str(n)) for n in range(5)))
    assert (reply.status, [each["read_id"] for each in reply.json]) == (200, ["read-000000", "read-000001"])
    assert [row.read_id for row in house.rows()] == ["read-000000", "read-000001"]


def _failing_from(number: int, house: House) -> Any:
    taken = itertools.count()

    def scan(read: Scan) -> Answer:
        if next(taken) >= number:
            raise Unavailable("/shop/ledger.db: the disk is full")
        return house.service.scan(read)

    return scan
