"""`lot` and `trace`, as a person and as a script meet them."""

from pathlib import Path

import pytest

from tests.floor.cli.desk import Desk
from tests.tickets.paper import text_of


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


@pytest.fixture
def walked(desk: Desk) -> Desk:
    """A pretreat lot, and a job of which two pieces went through the press."""
    desk.json("lot", "open", "pretreat", "L123", "--at", "2026-11-23T08:00")
    for piece in desk.job()[:2]:
        desk.walk(piece)
    return desk


def pieces(desk: Desk) -> list[str]:
    return [each["piece"] for each in desk.json("job", "show", "J0001")["walks"]]


def test_a_lot_is_opened_and_listed(desk: Desk) -> None:
    opened = desk.json("lot", "open", "white_ink", " W1 ", "--at", "2026-11-23T08:00", "--station", "printer 1")
    assert opened["lot"] == "W1"
    [line] = desk.json("lot", "list")["lots"]
    assert (line["material"], line["lot"], line["station"], line["since"], line["until"]) == (
        *("white_ink", "W1", "printer 1"),
        *("2026-11-23T13:00:00Z", None),
    )
    assert "white ink" in desk("lot", "list").stdout


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("pretreat", "L1", "--station", "moon"), "no station 'moon'"),
        (("blank", "L1"), "Say --item"),
        (("blank", "L1", "--item", "cap"), "no item 'cap'"),
        (("pretreat", "L1", "--at", "2999-01-01"), "has not come yet"),
        (("pretreat", "L1", "--at", "noon"), "'noon' is not a moment"),
        (("pretreat", ""), "A lot has a name"),
    ],
)
def test_a_lot_that_cannot_be_opened_is_told_why_and_nothing_is_recorded(
    desk: Desk, words: tuple[str, ...], why: str
) -> None:
    result = desk("lot", "open", *words)
    assert result.exit_code == 1
    assert why in result.stderr
    assert desk.json("lot", "list") == {"lots": []}


def test_a_material_that_nobody_keeps_lots_of_is_refused_with_those_there_are(desk: Desk) -> None:
    result = desk("lot", "open", "thread", "L1")
    assert result.exit_code == 2
    assert "cover_sheet" in result.stderr


def test_a_piece_is_traced_to_those_that_shared_its_press_and_its_lot(walked: Desk) -> None:
    first, second, _ = pieces(walked)
    answer = walked.json("trace", first)
    assert [each["lot"] for each in answer["lots"]] == ["L123"]
    [cure] = answer["cures"]
    assert (cure["press"], cure["held_s"], cure["least_s"], cure["wet_s"], cure["marks"]) == (
        *("press 1", 240, 180, 240),
        [],
    )
    [other] = answer["shared"]
    assert (other["piece"], other["near"], other["shared_lots"][0]["lot"]) == (second, "same stay", "L123")
    assert answer["walk"] == walked.json("piece", first)["walk"]


def test_the_trace_in_a_terminal_names_customer_press_lot_and_the_other_piece(walked: Desk) -> None:
    first, second, _ = pieces(walked)
    shown = walked("trace", first).stdout
    for words in ("for Harbour rowing club", "pretreat L123", "held 240 of 180 s", "wet 4 of 20 min", second):
        assert words in " ".join(shown.split())


def test_a_press_is_traced_between_moments_in_the_shops_zone(walked: Desk) -> None:
    ask = ("trace", "--press", "press 1", "--since")
    both = walked.json(*ask, "2026-11-23T09:00", "--until", "2026-11-23T10:00")
    assert len(both["pieces"]) == 2
    assert both["from"] == "2026-11-23T14:00:00Z"
    assert walked.json(*ask, "2026-11-23T10:00")["pieces"] == []
    assert "None." in walked(*ask, "2026-11-23T10:00").stdout


def test_a_lot_is_traced(walked: Desk) -> None:
    assert len(walked.json("trace", "--lot", "pretreat", "L123")["pieces"]) == 2
    assert "L123" in walked("trace", "--lot", "pretreat", "L123").stdout


@pytest.mark.parametrize(
    ("words", "why", "status"),
    [
        ((), "Trace what?", 2),
        (("1000000161", "--press", "press 1"), "Trace what?", 2),
        (("1000000161", "--since", "2026-11-23"), "--since and --until go with --press", 2),
        (("--press", "press 1", "--pdf", "x.pdf"), "--pdf is the record of one piece", 2),
        (("1000000161", "--paper", "a4"), "--paper goes with --pdf", 2),
        (("1000000162",), "was misread", 1),
        (("--press", "oven"), "no press 'oven'. Presses here: press 1", 1),
        (("--press", "press 1", "--since", "soon"), "'soon' is not a moment", 1),
        (("--press", "press 1", "--since", "2026-11-24", "--until", "2026-11-23"), "is not after --since", 1),
        (("--lot", "pretreat", "L999"), "No pretreat lot 'L999' was opened", 1),
    ],
)
def test_what_cannot_be_traced_is_told_by_name(walked: Desk, words: tuple[str, ...], why: str, status: int) -> None:
    result = walked("trace", *words)
    assert result.exit_code == status
    assert why in result.stderr


def test_the_record_of_a_cure_is_a_pdf(walked: Desk, tmp_path: Path) -> None:
    first, *_ = pieces(walked)
    file = tmp_path / "cure.pdf"
    assert walked.json("trace", first, "--pdf", str(file), "--paper", "letter")["pdf"] == str(file)
    text = " ".join(text_of(file.read_bytes()).split())
    for words in ("Harbour rowing club", "240 s (4 min 00 s)", "09:16:00 -05:00", "pretreat L123", "by hand"):
        assert words in text
    assert walked("trace", first, "--pdf", "-").stdout_bytes.startswith(b"%PDF")


def test_a_piece_without_a_cure_has_no_record_and_no_file_is_left(walked: Desk, tmp_path: Path) -> None:
    *_, third = pieces(walked)
    file = tmp_path / "cure.pdf"
    result = walked("trace", third, "--pdf", str(file))
    assert result.exit_code == 1
    assert "has not been in a press" in result.stderr
    assert list(tmp_path.glob("cure*")) == []


def test_a_lot_in_another_script_and_with_control_characters_harms_no_terminal(desk: Desk) -> None:
    desk("lot", "open", "pretreat", "ロット\x1b[31m7", "--at", "2026-11-23T08:00")
    assert "\x1b" not in desk("lot", "list").stdout
    assert desk.json("lot", "list")["lots"][0]["lot"] == "ロット\x1b[31m7"


def test_the_names_that_options_once_had_are_still_taken_and_shown_nowhere(walked: Desk) -> None:
    ask = ("trace", "--press", "press 1")
    now = walked.json(*ask, "--since", "2026-11-23T09:00", "--until", "2026-11-23T10:00")
    assert now["pieces"]
    assert walked.json(*ask, "--from", "2026-11-23T09:00", "--to", "2026-11-23T10:00") == now
    assert "--from" not in walked("trace", "--help").stdout
    assert "--until" in walked("trace", "--help").stdout
