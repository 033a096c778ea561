"""Text from outside drives no terminal, no spreadsheet, no page, no PDF and no SQL, and is not lost either.

One name stands everywhere a name can stand, in the shop file and in the job file, and the floor is worked with it.
"""

import csv
import io
import json
import re
import socket
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from html.parser import HTMLParser
from pathlib import Path
from threading import Event
from typing import Any, NamedTuple
from urllib.parse import quote

import pypdfium2
import pytest
from click.testing import CliRunner, Result

from floor.cli import listen
from floor.cli.main import main
from floor.cli.opening import Folder
from floor.doors.remote import Say
from floor.ledger import make_ledger
from floor.running import run_floor
from floor.service.service import Service
from floor.web.metrics import Metrics
from shared.clock import SetClock
from shared.codes import CodeType
from shared.files.shop import load_shop
from shared.harmless import harmless
from shared.scan import Scan
from tests.floor.web.rig import House, house, read
from tests.floor.web.visitor import Visitor
from tests.making import card
from tests.measured import WAIT_S

pytestmark = pytest.mark.fault

NOW = datetime(2026, 11, 20, 15, 30, tzinfo=UTC)
MARK = "zq"
"""At the end of every name, to see that the text is still there: no word of ours has it."""
NAMES = {
    "screen cleared": "\x1b[2J\x1b[H",
    "window title": "\x1b]0;owned\x07",
    "clipboard": "\x1b]52;c;cm0gLXJm\x1b\\",
    "terminal link": "\x1b]8;;http://x.invalid\x1b\\here",
    "C1 controls": "\x9b2J\x9d0;owned\x9c",
    "overprinting": "good\b\b\b\bbad\rover",
    "bell and delete": "\x07\x7f",
    "lines": "one\nJ0009 finished\x0btwo\u2028three\u2029four\x85five",
    "markup": "[red]a[/red][link=http://x.invalid]b[/link][/]:smile:",
    "broken markup": "[/bold][",
    "bidi override": "\u202egnp.exe\u202c",
    "bidi isolate": "\u2067a\u2066b\u200f",
    "nothing to see": "a\u200b\u200d\u2060\ufeffb\u00ad",
    "heap of marks": "Z" + "\u0301" * 60,
    "formula": "=1+2",
    "formula plus": "+1+cmd|' /C calc'!A0",
    "formula minus": "-2+3",
    "formula at": "@SUM(1)",
    "formula after tab": "\t=1",
    "formula after return": "\r=1",
    "formula after line": "\n=1",
    "formula after nothing": "\u200b=1",
    "formula after space": " \u3000=1",
    "full-width formula": "\uff1d1\uff0b2",
    "formula breaking out": '",=1+2,"',
    "script": "<script>alert(1)</script>",
    "attribute": "\"><img src=x onerror=alert(1)>'",
    "entities": "&lt;b&gt;&#0;&x;",
    "CDATA": "]]><!-- ?> <![CDATA[",
    "no XML characters": "\ufffe\uffff\x01",
    "PDF markup": '<b>a<img src="http://x.invalid/a.png"/>',
    "PDF string": "a) /JS (app.alert(1)) \\",
    "PDF stream": "endstream endobj 9 0 obj << /OpenAction",
    "SQL": "'; DROP TABLE events; --",
    'SQL "': '" OR 1=1 /*',
    "SQL parameters": ":name ? %(x)s",
    "braces": "{0.__class__} {file} {}",
    "percent": "%s%n%d%%",
    "template": "{{ 7*7 }}${7*7}",
    "JSON": '"}],"x":[{"',
    "path": "../../../etc/passwd",
    "private use": "\ue000\U000f0000",
}

STEP_TABLES = """
[steps.NAME]
event = NAME
kind = "hand"
if_missed = "stop"
settings = { NAME = NAME }
[steps.colour]
event = "colour printed"
kind = "machine"
[steps.cure]
event = "cured"
kind = "dwell"
min_s = 60
wait_limit_s = 60
"""
SHOP = f"""
reasons = [NAME]
[shop]
name = NAME
[items.NAME]
cost = "2.00"
shades = {{ NAME = "dark" }}
routes = {{ dark = NAME }}
{STEP_TABLES}
[routes]
NAME = [NAME, "colour", "cure"]
[[stations]]
name = NAME
steps = [NAME, "colour"]
[[stations]]
name = "press"
steps = ["cure"]
[[badges]]
name = NAME
[[care]]
name = NAME
every = "8h"
[[scanners]]
name = NAME
port = "socket://127.0.0.1:PORT"
station = NAME
[pages]
listen = "127.0.0.1:0"
[backups]
keep = 0
"""
JOB = """
customer = NAME
due = 2020-12-02T16:00:00
[[lines]]
design = NAME
item = NAME
colour = NAME
sizes = { NAME = 4 }
price_each = "21.50"
[[lines.prints]]
place = NAME
width_mm = 300
height_mm = 300
"""
WEEK = "2026-W47"


class Shop:
    """A shop folder in which everything bears one name, and somebody who types commands."""

    def __init__(self, folder: Path, name: str) -> None:
        self.folder, self.name = folder, name
        self.server = socket.create_server(("127.0.0.1", 0))
        written = with_name(SHOP, name).replace("PORT", str(self.server.getsockname()[1]))
        (folder / "shop.toml").write_text(written, encoding="utf-8")
        assert typed(folder, "init", str(folder), "--empty-ledger").exit_code == 0
        self.pieces: list[str] = self.json("job", "add", "-", stdin=with_name(JOB, name))["pieces"]

    def __call__(self, *words: str, stdin: str | None = None) -> Result:
        return typed(self.folder, *words, stdin=stdin)

    def json(self, *words: str, stdin: str | None = None, status: int = 0) -> Any:
        return only_json(self(*words, "--json", stdin=stdin), status)

    def work(self) -> None:
        """A piece walks and is left wet, one is spoiled, one is refused, one is held up at a press; a job is held."""
        scans = [
            (card(CodeType.BADGE, self.name), self.name, "08:59"),
            (self.pieces[0], self.name, "09:00"),
            (self.pieces[0], self.name, "09:05"),
            (self.pieces[1], self.name, "09:10"),
            (card(CodeType.REASON, self.name), self.name, "09:10:05"),
            (self.pieces[1], self.name, "09:10:10"),
            (card(CodeType.CARE, self.name), self.name, "09:20"),
            (self.pieces[2], "press", "09:30"),
            (self.name, self.name, "09:40"),
        ]
        for code, station, at in scans:
            self("scan", "--station", station, "--at", f"2026-11-20T{at}", "--", code)
        self("job", "hold", "J0001", f"--why={self.name}")


def with_name(text: str, name: str) -> str:
    """A TOML text in which the name stands wherever it says NAME."""
    return text.replace("NAME", json.dumps(name, ensure_ascii=False).replace("\x7f", "\\u007f"))


def typed(folder: Path, *words: str, stdin: str | None = None) -> Result:
    """A command as it is typed; whatever it does, it does not break, and no terminal acts on what it says."""
    result = CliRunner().invoke(main, words, input=stdin, obj=Folder(folder, SetClock(NOW)))
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def only_json(result: Result, status: int = 0) -> Any:
    """What a command answers to a script: one line, that does nothing even in a terminal."""
    assert result.exit_code == status, result.output
    assert_moves_nothing(result.stdout_bytes)
    assert len(result.stdout.splitlines()) == 1
    return json.loads(result.stdout)


def assert_moves_nothing(output: bytes) -> None:
    """Only characters that have a shape, and line feeds."""
    moving = {char for char in output.decode("utf-8") if not char.isprintable()} - {"\n"}
    assert not moving, f"{moving} in {output!r}"


def squeezed(text: str) -> str:
    """A text without white space, so that it is found again wherever a line was wrapped."""
    return "".join(text.split())


@pytest.fixture(scope="module", params=NAMES, ids=str)
def shop(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    shop = Shop(tmp_path_factory.mktemp("shop"), f"{NAMES[request.param]} {MARK}")
    with shop.server:
        shop.work()
        yield shop


# Terminals


class Said(NamedTuple):
    """A command, and whether it must show the name in full."""

    words: tuple[str, ...]
    whole: bool = True


SAYING = {
    "check": Said(("check",)),
    "job list": Said(("job", "list"), whole=False),
    "job show": Said(("job", "show", "J0001")),
    "board": Said(("board",), whole=False),
    "press": Said(("press",), whole=False),
    "wall": Said(("wall", "--once"), whole=False),
    "report": Said(("report", "--week", WEEK)),
    "bench list": Said(("bench", "list"), whole=False),
}


@pytest.mark.parametrize("said", SAYING)
def test_what_a_command_shows_moves_nothing_in_a_terminal_and_is_not_lost(shop: Shop, said: str) -> None:
    words, whole = SAYING[said]
    result = shop(*words)
    assert result.exit_code == 0, result.output
    assert_moves_nothing(result.stdout_bytes + result.stderr_bytes)
    if whole:
        assert squeezed(harmless(shop.name)) in squeezed(result.stdout)


def test_a_quote_shows_the_name_as_it_is(shop: Shop) -> None:
    result = shop("quote", "-", stdin=with_name(JOB, shop.name))
    assert_moves_nothing(result.stdout_bytes)
    assert squeezed(harmless(f"{shop.name} on {shop.name}")) in squeezed(result.stdout)


def test_a_piece_shows_its_walk(shop: Shop) -> None:
    for code in shop.pieces:
        result = shop("piece", code)
        assert result.exit_code == 0
        assert_moves_nothing(result.stdout_bytes)
        assert MARK in result.stdout


def test_an_answer_to_a_scan_is_one_harmless_line(shop: Shop) -> None:
    for code, station in [
        (shop.name, shop.name),
        (shop.pieces[3], f"no {shop.name}"),
        (shop.pieces[2], "press"),
        (card(CodeType.STATION, shop.name), "press"),
    ]:
        result = shop("scan", "--station", station, "--at", "2026-11-20T10:00", "--", code)
        assert (result.exit_code, result.stdout) == (1, "")
        assert_moves_nothing(result.stderr_bytes)
        assert len(result.stderr.splitlines()) == 1


@pytest.mark.parametrize("shop", ["screen cleared", "C1 controls", "lines", "markup", "bidi override"], indirect=True)
def test_what_the_running_floor_says_is_a_harmless_line_each(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    stop, lines = Event(), []
    there, answered = f"{shop.name} is there.", f"{shop.name}: "

    def watched(service: Service, folder: Path, say: Say) -> None:
        def heard(line: str) -> None:
            say(line)
            lines.append(line)
            if line == there:
                wire, _ = shop.server.accept()
                with wire:
                    wire.sendall(f"{shop.name}\r".encode(errors="replace") + f"{shop.pieces[3]}\r".encode())
            if line.startswith(answered) and shop.pieces[3] in line:
                stop.set()

        run_floor(service, folder, heard)

    stop_wait = stop.wait
    monkeypatch.setattr(stop, "wait", lambda: stop_wait(WAIT_S))
    monkeypatch.setattr("floor.running.stop_event", lambda: stop)
    monkeypatch.setattr(listen, "run_floor", watched)
    shop("job", "release", "J0001")
    result = shop("run")
    assert stop.is_set(), lines
    assert_moves_nothing(result.stdout_bytes)
    assert result.stdout.splitlines() == [harmless(line) for line in lines]


# Scripts


def test_a_script_gets_the_name_as_it_was_written(shop: Shop) -> None:
    [job] = shop.json("job", "list")["jobs"]
    assert job["customer"] == shop.name
    assert shop.json("job", "show", "J0001")["customer"] == shop.name
    assert shop.json("check")["shop"] == shop.name
    assert [line["design"] for line in shop.json("quote", "-", stdin=with_name(JOB, shop.name))["lines"]] == [shop.name]
    piece = shop.json("piece", shop.pieces[1])
    assert {piece[key] for key in ("design", "item", "colour", "size", "spoiled_for")} == {shop.name}
    assert shop.json("board")["steps"][0]["step"] == shop.name
    assert shop.json("press")["wet"][0]["piece"] == shop.pieces[0]
    assert list(shop.json("report", "--week", WEEK)["spoiled_by_reason"])
    names = {each["name"] for each in shop.json("cards", "-o", str(shop.folder / "c.pdf"))["cards"]}
    assert shop.name in names


def test_a_script_gets_the_answer_to_a_scan(shop: Shop) -> None:
    answer = shop.json("scan", f"--station={shop.name}", "--at", "2026-11-20T11:00", f"x{shop.name}", status=1)
    assert answer["reason"] == "not-a-code"


# Spreadsheets, and programs that follow the pieces


def test_no_cell_of_the_csv_file_is_a_formula_and_the_name_is_in_it(shop: Shop) -> None:
    exported = shop("export", "csv").stdout_bytes
    rows = list(csv.DictReader(io.StringIO(exported.decode("utf-8"), newline=""), strict=True))
    cells = [cell for row in rows for cell in row.values()]
    assert all(len(row) == len(rows[0]) and None not in row for row in rows)
    assert_moves_nothing(exported.replace(b"\r\n", b"\n"))
    assert not [cell for cell in cells if cell.lstrip().startswith(tuple("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20"))]
    columns = ("station", "badge", "design", "item", "colour", "size", "reason", "customer", "why", "step")
    for column in columns:
        told = {squeezed(harmless(row[column])) for row in rows if row[column]}
        assert any(squeezed(harmless(shop.name)) in each for each in told), column


def test_the_epcis_file_has_the_events_and_nothing_else(shop: Shop) -> None:
    exported = shop("export", "epcis").stdout_bytes
    assert_moves_nothing(exported)
    document = json.loads(exported)
    assert set(document) == {"@context", "type", "schemaVersion", "creationDate", "epcisBody"}
    told = document["epcisBody"]["eventList"]
    [spoiled] = [event for event in told if any(key.endswith(":reason") for key in event)]
    assert harmless(shop.name) in spoiled.values()
    assert {event["readPoint"]["id"].rsplit("/", 1)[1] for event in told if "readPoint" in event} == {
        quote(shop.name, safe="")
    }


def test_the_xes_file_is_xml_with_a_trace_for_each_piece(shop: Shop) -> None:
    exported = shop("export", "xes").stdout_bytes
    assert_moves_nothing(exported)
    log = ET.fromstring(exported)
    xes = "{http://www.xes-standard.org/}"
    assert {each.tag for each in log.iter()} <= {
        f"{xes}{tag}"
        for tag in ["log", "extension", "global", "classifier", "trace", "event", "string", "date", "int", "boolean"]
    }
    traces = log.findall(f"{xes}trace")
    assert len(traces) == 5
    for trace in traces:
        said = {each.get("key"): each.get("value") for each in trace.findall(f"{xes}string")}
        assert {said[key] for key in ("design", "item", "colour", "size")} == {harmless(shop.name)}


# Paper


ACTIVE = re.compile(rb"/(JavaScript|JS|OpenAction|AA|URI|Launch|Annots|EmbeddedFile|Filespec)\b(?!\+)")


def assert_is_paper(pdf: bytes, pages: int) -> str:
    """A PDF that is only looked at; the text on it."""
    document = pypdfium2.PdfDocument(pdf)
    assert len(document) == pages
    assert document.count_attachments() == 0
    assert not list(document.get_toc())
    assert not ACTIVE.search(pdf_objects(pdf))
    return "\n".join(page.get_textpage().get_text_bounded() for page in document)


def pdf_objects(pdf: bytes) -> bytes:
    """What stands in a PDF outside of streams and of strings."""
    found, depth, n = bytearray(), 0, 0
    while n < len(pdf):
        byte = pdf[n : n + 1]
        if depth == 0 and pdf.startswith(b"stream", n):
            n = pdf.index(b"endstream", n) + len(b"endstream")
            continue
        if depth and byte == b"\\":
            n += 2
            continue
        depth += (byte == b"(") - (byte == b")")
        found += b"" if depth or byte == b")" else byte
        n += 1
    return bytes(found)


def test_travellers_are_paper_a_page_a_piece_with_the_name_on_each(shop: Shop) -> None:
    file = shop.folder / "t.pdf"
    assert shop("tickets", "J0001", "-o", str(file)).exit_code == 0
    text = assert_is_paper(file.read_bytes(), pages=4)
    assert text.count(MARK) >= 4 * 4
    document = pypdfium2.PdfDocument(file.read_bytes())
    assert document.get_metadata_value("Author").endswith(MARK)


def test_cards_are_paper_with_the_name_on_them(shop: Shop) -> None:
    file = shop.folder / "cards.pdf"
    assert shop("cards", "-o", str(file)).exit_code == 0
    assert MARK in assert_is_paper(file.read_bytes(), pages=2)


# SQL


def test_the_ledger_has_every_row_and_each_is_whole(shop: Shop) -> None:
    found = shop.json("check")
    assert found["good"]
    assert found["rows"] >= 1 + 5 + 8


# Files with mistakes


IN_MESSAGES = ["screen cleared", "C1 controls", "lines", "broken markup", "bidi override", "JSON", "braces", "percent"]
"""A message is only seen in a terminal or in JSON."""
WRONG_JOBS = {
    "item": JOB.replace("colour = NAME", 'colour = "x"'),
    "colour": JOB.replace("item = NAME", 'item = "x"'),
    "key": JOB.replace("price_each", "NAME"),
    "number": JOB.replace('"21.50"', "NAME"),
    "moment": JOB.replace("2020-12-02T16:00:00", "NAME"),
    "place": JOB + "[[lines.prints]]\nplace = NAME\nwidth_mm = 1\nheight_mm = 1\n",
    "picture": JOB + "artwork = NAME\n",
    "no TOML": JOB + "NAME NAME\n",
}


@pytest.mark.parametrize("shop", IN_MESSAGES, indirect=True)
@pytest.mark.parametrize("wrong", WRONG_JOBS)
def test_a_job_file_with_a_mistake_is_refused_with_harmless_lines(shop: Shop, wrong: str) -> None:
    text = with_name(WRONG_JOBS[wrong], shop.name)
    result = shop("quote", "-", stdin=text)
    assert (result.exit_code, result.stdout) == (1, "")
    assert_moves_nothing(result.stderr_bytes)
    errors = shop.json("quote", "-", stdin=text, status=1)["errors"]
    assert len(result.stderr.splitlines()) == len(errors)


WRONG_SHOPS = {
    "key": SHOP.replace("cost =", "NAME ="),
    "table": SHOP + "[NAME]\nNAME = NAME\n",
    "step": SHOP.replace('[NAME, "colour", "cure"]', '[NAME, "x", { step = NAME, min_s = NAME }]'),
    "station": SHOP.replace("station = NAME", 'station = "x"'),
    "twice": SHOP + "[[badges]]\nname = NAME\n",
    "number": SHOP.replace('"2.00"', "NAME"),
}


@pytest.mark.parametrize("shop", IN_MESSAGES, indirect=True)
@pytest.mark.parametrize("wrong", WRONG_SHOPS)
def test_a_shop_file_with_a_mistake_is_refused_with_harmless_lines(shop: Shop, tmp_path: Path, wrong: str) -> None:
    written = with_name(WRONG_SHOPS[wrong], shop.name)
    (tmp_path / "shop.toml").write_text(written, encoding="utf-8")
    result = typed(tmp_path, "board")
    assert (result.exit_code, result.stdout) == (1, "")
    assert_moves_nothing(result.stderr_bytes)
    assert result.stderr.splitlines()
    only_json(typed(tmp_path, "board", "--json"), status=1)


@pytest.mark.parametrize("shop", IN_MESSAGES, indirect=True)
@pytest.mark.parametrize("column", range(4))
def test_scans_on_paper_with_a_strange_cell_are_refused_with_harmless_lines(shop: Shop, column: int) -> None:
    cells = ["2026-11-20T12:00", shop.pieces[3], "press", shop.name]
    cells[column] = f"x{shop.name}"
    written = io.StringIO(newline="")
    csv.writer(written).writerows([("occurred_at", "code", "station", "badge"), cells])
    for words in (("backfill", "-"), ("backfill", "-", "--json")):
        result = shop(*words, stdin=written.getvalue())
        assert result.exit_code == 1
        assert_moves_nothing(result.stdout_bytes + result.stderr_bytes)


LONG = "x" * 1_000


@pytest.mark.parametrize("shop", ["path"], indirect=True)
@pytest.mark.parametrize("key", ["customer", "design", "item", "colour", "sizes", "place"])
def test_a_name_of_a_thousand_characters_is_refused_in_a_few_words(shop: Shop, key: str) -> None:
    lines = [line.replace("NAME", f'"{LONG}"') if line.startswith(key) else line for line in JOB.splitlines()]
    result = shop("job", "add", "-", stdin=with_name("\n".join(lines), shop.name))
    assert (result.exit_code, result.stdout) == (1, "")
    assert LONG not in result.stderr


@pytest.mark.parametrize("shop", ["path"], indirect=True)
@pytest.mark.parametrize("key", ["customer", "design", "sizes", "place"])
def test_a_name_with_a_nul_is_refused(shop: Shop, key: str) -> None:
    lines = [line.replace("NAME", r'"a\u0000b"') if line.startswith(key) else line for line in JOB.splitlines()]
    result = shop("job", "add", "-", stdin=with_name("\n".join(lines), shop.name))
    assert (result.exit_code, result.stdout) == (1, "")
    assert "without NUL" in result.stderr
    assert_moves_nothing(result.stderr_bytes)


@pytest.mark.parametrize("shop", ["path"], indirect=True)
@pytest.mark.parametrize("code", ["\udcff\udcfe", "1000\ud800", "a\0b"])
def test_a_code_that_is_no_text_is_refused_and_stops_nothing(shop: Shop, code: str) -> None:
    result = shop("scan", "--station", "press", "--", code)
    assert (result.exit_code, result.stdout) == (1, "")
    assert_moves_nothing(result.stderr_bytes)
    only_json(shop("scan", "--station", "press", "--json", "--", code), status=1)


@pytest.mark.parametrize("shop", ["path"], indirect=True)
@pytest.mark.parametrize("artwork", [LONG, "a\0b", "../" * 200 + "etc/passwd", "/etc/passwd", "."])
def test_artwork_that_is_no_picture_is_refused_and_never_copied(shop: Shop, artwork: str) -> None:
    text = JOB + f"artwork = {json.dumps(artwork)}\n"
    result = shop("job", "add", "-", stdin=with_name(text, shop.name))
    assert (result.exit_code, result.stdout) == (1, "")
    assert_moves_nothing(result.stderr_bytes)
    assert not (shop.folder / "artwork").exists()


# The network


@pytest.fixture(scope="module")
def floor(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with house(tmp_path_factory.mktemp("floor")) as floor:
        yield floor


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
@pytest.mark.parametrize("key", ["read_id", "text", "at", "device", "station", "badge"])
def test_a_bench_s_read_is_answered_with_data_that_no_browser_and_no_terminal_acts_on(
    floor: House, name: str, key: str
) -> None:
    sent = {**read(len(floor.rows()), "12"), key: name}
    reply = floor.post(sent)
    assert reply.status in {200, 422}
    assert reply.headers["content-type"] == "application/json"
    assert reply.headers["x-content-type-options"] == "nosniff"
    assert_moves_nothing(reply.body)
    assert reply.json


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_a_page_that_is_not_there_is_told_of_harmlessly(floor: House, name: str) -> None:
    reply = floor.get(f"/{name}")
    assert reply.status == 404
    assert reply.headers["content-type"] == "application/json"
    assert_moves_nothing(reply.body)
    assert reply.error["where"].startswith("GET /")


def test_no_text_from_outside_is_among_the_figures(floor: House) -> None:
    before = {line.split(" ")[0] for line in floor.get("/metrics").body.decode().splitlines()}
    for name in NAMES.values():
        text = f"{name} {MARK}"
        floor.metrics.watched(floor.service.scan)(
            Scan(read_id=f"metrics {name}", text=text, at=floor.clock.now(), device=text, station=text)
        )
    figures = floor.get("/metrics").body
    assert_moves_nothing(figures)
    assert {line.split(" ")[0] for line in figures.decode().splitlines()} - before == {
        "piecewalk_last_append_age_seconds"
    } - before
    assert MARK.encode() not in figures
    assert isinstance(floor.metrics, Metrics)


# The pages


class Loud(HTMLParser):
    """What a page's elements and attributes are; the text between them."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.names: set[str] = set()
        self.texts: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.names |= {name for name, _ in attrs}
        self.texts += [value for _, value in attrs if value]

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


@pytest.fixture(scope="module")
def pages(shop: Shop) -> Iterator[House]:
    """The pages of the shop in which everything bears one name."""
    with pytest.MonkeyPatch.context() as patch, closing(make_ledger(f"sqlite:///{shop.folder}/ledger.db")) as ledger:
        patch.setattr("floor.service.service.NEWS_S", 0.02)  # or each floor would take a second to end
        house = House(shop.folder, ledger, SetClock(NOW), load_shop(shop.folder))
        with house.service:
            yield house
        house.benches.revoke("north")


SHOWING = {
    "/": True,
    "/login?to=NAME": False,
    "/wall": True,
    "/station/NAME": True,
    "/station/press": False,
    "/jobs": True,
    "/jobs/J0001": True,
    "/jobs/NAME": False,
    "/pieces/0": True,
    "/pieces/1": True,
    "/pieces/NAME": False,
    "/presses": True,
    "/care": True,
    "/week/2026-W47": True,
    "/week/NAME": False,
    "/NAME": False,
}
"""Pages, and whether the name stands on them."""
ONCE = ("html", "head", "body", "main", "title", "h1")


@pytest.mark.parametrize("page", SHOWING)
def test_a_page_shows_the_name_as_text_and_does_nothing_else(shop: Shop, pages: House, page: str) -> None:
    address = page.replace("NAME", quote(shop.name, safe=""))
    if page[-1].isdigit() and page.startswith("/pieces/"):
        address = f"/pieces/{shop.pieces[int(page[-1])]}"
    reply = Visitor(pages).get(address)
    assert reply.status in {200, 404, 405}
    assert_moves_nothing(reply.body)
    loud = Loud(reply.body.decode())
    assert all(loud.tags.count(tag) == 1 for tag in ONCE), loud.tags
    assert "img" not in loud.tags
    assert not {name for name in loud.names if name.startswith("on")}
    assert loud.tags.count("script") == reply.body.count(b'<script type="module" src="/static/')
    if SHOWING[page]:
        assert squeezed(harmless(shop.name)) in squeezed(" ".join(loud.texts))


def test_the_board_as_data_has_the_name_as_it_was_written(shop: Shop, pages: House) -> None:
    board = Visitor(pages, headers={"Accept": "*/*"}).get("/api/board")
    assert board.headers["content-type"] == "application/json"
    assert board.json["steps"][0]["step"] == shop.name


@pytest.mark.parametrize("shop", ["script", "attribute", "path", "lines", "screen cleared"], indirect=True)
@pytest.mark.parametrize("wrong", WRONG_JOBS)
def test_a_job_file_with_a_mistake_is_refused_on_its_page_harmlessly(shop: Shop, pages: House, wrong: str) -> None:
    job = with_name(WRONG_JOBS[wrong], shop.name).encode()
    reply = Visitor(pages).post("/jobs", {}, page="/jobs", files=[("job", ("a.toml", job))])
    assert reply.status == 422
    assert_moves_nothing(reply.body)
    assert Loud(reply.body.decode()).tags.count("script") == 0


@pytest.mark.parametrize("shop", ["script", "attribute", "bidi override", "screen cleared"], indirect=True)
def test_what_is_typed_into_the_pages_comes_back_as_text(shop: Shop, pages: House) -> None:
    visitor = Visitor(pages)
    typed = [
        visitor.post("/station/press/scan", {"code": shop.name}, page="/station/press"),
        visitor.post("/jobs/J0001/release", {"why": shop.name}, page="/jobs"),
        visitor.post("/jobs/J0001/hold", {"why": shop.name}, page="/jobs"),
        visitor.post(f"/jobs/{quote(shop.name, safe='')}/hold", {"why": "", "name": shop.name}, page="/jobs"),
        visitor.sign_in(shop.name, shop.name),
    ]
    for reply in [*typed, visitor.get("/station/press"), visitor.get("/jobs/J0001")]:
        assert reply.status < 500
        assert_moves_nothing(reply.body)
        assert Loud(reply.body.decode()).tags.count("script") == reply.body.count(b'src="/static/')
