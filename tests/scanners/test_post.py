"""One request to the floor: what each response means, and what is never sent."""

import json
import socket
from collections.abc import Iterator
from contextlib import closing, contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from queue import Queue
from threading import Thread
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scanners.post import (
    Answered,
    Barred,
    HttpPost,
    Malformed,
    NoToken,
    Reply,
    Tripped,
    Unreached,
    body_of,
    checked_token,
    understood,
)
from shared.delivery import BODY_BYTES_MAX, Delivery
from tests.measured import WAIT_S
from tests.scanners.remote_rig import read
from tests.scanners.rig import ACCEPTED, NOON

TOKEN = "t0ken-" * 7
WORDS = b'{"error":{"what":"It is wrong","where":"$[0].text","do":"Mend it"}}'
SENT = [Delivery(read_id=read(n).read_id, text="1", at=NOON, device="gun") for n in range(3)]
RECEIPTS = [{"read_id": each.read_id, "answer": {"outcome": "accepted", "say": ACCEPTED.say}} for each in SENT]


def meaning(status: int, body: bytes, retry_after: str = "") -> Reply:
    return understood(status, body, retry_after, SENT)


# What a response means


def test_receipts_for_all_reads_or_for_the_first_ones_are_an_answer() -> None:
    for count in (1, 2, 3):
        reply = meaning(200, json.dumps(RECEIPTS[:count]).encode())
        assert isinstance(reply, Answered)
        assert [receipt.read_id for receipt in reply.receipts] == [each.read_id for each in SENT[:count]]
        assert reply.receipts[0].answer == ACCEPTED


@pytest.mark.parametrize(
    "body",
    [b"", b"[]", b"null", b"<html>Welcome!</html>", b'{"answers":[]}', json.dumps(RECEIPTS[1:]).encode(), b"\xff"],
)
def test_success_that_answers_something_else_clears_nothing(body: bytes) -> None:
    assert isinstance(meaning(200, body), Unreached)


@pytest.mark.parametrize("status", [400, 409, 413, 422])
def test_a_read_is_malformed_when_the_floor_says_so_in_its_own_words(status: int) -> None:
    assert meaning(status, WORDS) == Malformed("$[0].text: It is wrong. Mend it")


@pytest.mark.parametrize("status", [301, 400, 401, 403, 404, 405, 409, 413, 422, 500, 502, 503])
def test_what_a_gateway_says_costs_no_read(status: int) -> None:
    assert isinstance(meaning(status, b"<html>Bad gateway</html>"), Unreached)


@pytest.mark.parametrize("status", [401, 403])
def test_a_bench_is_barred_by_the_floor_alone(status: int) -> None:
    assert isinstance(meaning(status, WORDS), Barred)


@pytest.mark.parametrize("status", [404, 405, 408, 429, 503])
def test_a_floor_that_cannot_take_it_now_or_here_may_take_it_later(status: int) -> None:
    assert isinstance(meaning(status, WORDS), Unreached)


def test_a_mistake_of_the_floor_is_told_apart() -> None:
    assert isinstance(meaning(500, WORDS), Tripped)


@pytest.mark.parametrize(("header", "wait_s"), [("2", 2.0), ("", 0.0), ("Fri, 27 Nov 2026 12:00:00 GMT", 0.0)])
def test_the_floor_may_say_when_to_come_back(header: str, wait_s: float) -> None:
    reply = meaning(503, WORDS, header)
    assert isinstance(reply, Unreached)
    assert reply.wait_s == wait_s


@given(st.integers(100, 599), st.binary(max_size=100), st.text(max_size=5))
def test_any_response_has_a_meaning_and_noise_never_clears_a_read(status: int, body: bytes, header: str) -> None:
    assert isinstance(meaning(status, body, header), Unreached)


# What is sent


def test_no_more_is_sent_than_the_floor_takes_at_once() -> None:
    long = [Delivery(read_id=f"read-{n:04}", text="…" * 300, at=NOON, device="d" * 120) for n in range(100)]
    body = body_of(long)
    assert len(body) <= BODY_BYTES_MAX
    sent = json.loads(body)
    assert [each["read_id"] for each in sent] == [each.read_id for each in long[: len(sent)]]
    assert len(body_of(long[: len(sent) + 1])) == len(body)


def test_a_single_read_is_sent_whatever_its_size() -> None:
    body = body_of([Delivery(read_id="read-0001", text="x" * BODY_BYTES_MAX, at=NOON, device="gun")])
    assert len(json.loads(body)) == 1


@pytest.mark.parametrize("text", ["", "short", "two words " * 3, "näht" * 10, "a" * 300, "abcdefghijklmnop\r\nX: y"])
def test_what_cannot_be_a_token_is_not_sent(text: str) -> None:
    with pytest.raises(NoToken):
        checked_token(text)


def test_a_token_may_stand_in_a_file_with_a_line_end() -> None:
    assert checked_token(f"{TOKEN}\n") == TOKEN


# Over the network


class QuietServer(ThreadingHTTPServer):
    """Says nothing of clients that hang up: some do so on purpose."""

    def handle_error(self, *_: object) -> None:
        pass


class Server:
    """A web server that answers as it is told, and remembers what came."""

    def __init__(self) -> None:
        self.answers: Queue[tuple[int, bytes, dict[str, str]]] = Queue()
        self.came: Queue[tuple[str, dict[str, str], Any]] = Queue()
        outer = self

        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"

            def do_POST(self) -> None:
                body = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
                outer.came.put((self.path, dict(self.headers), body))
                status, answer, headers = outer.answers.get(timeout=WAIT_S)
                self.send_response(status)
                for name, value in {"Content-Length": str(len(answer)), **headers}.items():
                    self.send_header(name, value)
                self.end_headers()
                self.wfile.write(answer)

            def log_message(self, *_: object) -> None:
                pass

        self._server = QuietServer(("127.0.0.1", 0), Handler)
        self.url = f"http://127.0.0.1:{self._server.server_port}"

    @contextmanager
    def running(self) -> Iterator["Server"]:
        thread = Thread(target=self._server.serve_forever, kwargs={"poll_interval": 0.01})
        thread.start()
        yield self
        self._server.shutdown()
        thread.join()
        self._server.server_close()


@pytest.fixture
def server() -> Iterator[Server]:
    with Server().running() as server:
        yield server


def posted(url: str, token: str = TOKEN, **more: Any) -> Reply:
    with closing(HttpPost(url, lambda: token, **more)) as post:
        return post(SENT)


def test_reads_are_posted_as_a_list_with_the_benchs_token(server: Server) -> None:
    server.answers.put((200, json.dumps(RECEIPTS).encode(), {}))
    assert isinstance(posted(server.url + "/"), Answered)
    path, headers, body = server.came.get(timeout=WAIT_S)
    assert path == "/api/scans"
    assert headers["Authorization"] == f"Bearer {TOKEN}"
    assert body[0] == {"read_id": SENT[0].read_id, "text": "1", "at": "2026-11-27T12:00:00Z", "device": "gun"}


def test_one_connection_serves_many_requests(server: Server) -> None:
    with closing(HttpPost(server.url, lambda: TOKEN)) as post:
        for _ in range(3):
            server.answers.put((200, json.dumps(RECEIPTS).encode(), {}))
            assert isinstance(post(SENT), Answered)
        assert post._pool.connection_from_url(server.url).num_connections == 1


def test_a_redirect_is_not_followed_so_the_token_goes_nowhere_else(server: Server) -> None:
    server.answers.put((307, b"", {"Location": f"{server.url}/elsewhere"}))
    assert isinstance(posted(server.url), Unreached)
    server.came.get(timeout=WAIT_S)
    assert server.came.empty()


def test_a_barred_token_is_not_sent_again_but_a_new_one_is(server: Server) -> None:
    tokens = [TOKEN, TOKEN, TOKEN[::-1]]
    with closing(HttpPost(server.url, lambda: tokens.pop(0))) as post:
        server.answers.put((401, WORDS, {}))
        assert isinstance(post(SENT), Barred)
        assert isinstance(post(SENT), Barred)
        server.answers.put((200, json.dumps(RECEIPTS).encode(), {}))
        assert isinstance(post(SENT), Answered)
    assert [server.came.get(timeout=WAIT_S)[1]["Authorization"][7:] for _ in range(2)] == [TOKEN, TOKEN[::-1]]
    assert server.came.empty()


def test_without_a_token_nothing_is_sent(server: Server, tmp_path: Path) -> None:
    def no_token() -> str:
        raise NoToken("token.txt cannot be read")

    with closing(HttpPost(server.url, no_token)) as post:
        assert post(SENT) == Unreached("token.txt cannot be read")
    assert server.came.empty()


def test_an_answer_without_end_is_not_read_to_its_end(server: Server) -> None:
    server.answers.put((200, b"[" + b" " * 3_000_000 + b"]", {}))
    assert isinstance(posted(server.url), Unreached)


@pytest.mark.fault
def test_nobody_at_the_address_is_not_reached() -> None:
    with closing(socket.create_server(("127.0.0.1", 0))) as held:
        port = held.getsockname()[1]
    assert posted(f"http://127.0.0.1:{port}") == Unreached(
        "Failed to establish a new connection: [Errno 111] Connection refused"
    )


@pytest.mark.fault
def test_somebody_who_never_answers_is_not_reached() -> None:
    with closing(socket.create_server(("127.0.0.1", 0))) as silent:
        reply = posted(f"http://127.0.0.1:{silent.getsockname()[1]}", answer_within_s=0.05)
    assert isinstance(reply, Unreached)
    assert "timed out" in reply.why


@pytest.mark.fault
@pytest.mark.parametrize(
    "answer",
    [
        b"",
        b"HTTP/1.1 200",
        b"SSH-2.0-OpenSSH_9.2\r\n",
        b"\x00" * 100,
        b"HTTP/1.1 200 OK\r\nContent-Length: 99\r\n\r\n[]",
    ],
)
def test_whatever_else_answers_there_is_not_the_floor(answer: bytes) -> None:
    with closing(socket.create_server(("127.0.0.1", 0))) as other:

        def serve() -> None:
            connection, _ = other.accept()
            with connection:
                connection.recv(65_536)
                connection.sendall(answer)

        thread = Thread(target=serve)
        thread.start()
        reply = posted(f"http://127.0.0.1:{other.getsockname()[1]}")
        thread.join(WAIT_S)
    assert isinstance(reply, Unreached)
