"""The commands, as a person and as a script meet them."""

from pathlib import Path

import pytest

from shared.codes import CodeType
from tests.floor.cli.desk import JOB, Desk, job_text
from tests.making import card

ELEMENTS = [
    "garment",
    "pretreat",
    "white_ink",
    "colour_ink",
    "labour",
    "machine",
    "consumables",
    "spoilage",
    "overhead",
    "total",
]


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


def test_a_new_shop_passes_its_own_check(desk: Desk) -> None:
    assert desk.json("check")["good"] is True


def test_a_shop_is_never_made_over_another(desk: Desk) -> None:
    result = desk("init", str(desk.shop))
    assert result.exit_code == 1
    assert "already" in result.stderr


def test_a_quote_answers_every_element_and_stores_nothing(desk: Desk) -> None:
    answer = desk.json("quote", "-", stdin=JOB)
    assert list(answer["cost"]) == ELEMENTS
    assert (answer["currency"], answer["pieces"], answer["price"]) == ("USD", 3, "64.50")
    assert desk.json("job", "list") == {"jobs": []}


def test_a_job_gets_its_number_and_its_pieces_their_codes(desk: Desk) -> None:
    answer = desk.json("job", "add", "-", stdin=JOB)
    assert answer["job"] == "J0001"
    assert len(set(answer["pieces"])) == 3
    assert answer["quote"]["price"] == "64.50"


def test_a_job_file_with_mistakes_is_refused_whole_and_each_mistake_is_named(desk: Desk) -> None:
    wrong = JOB.replace("sizes", "szes").replace('"21.50"', '"-1"')
    result = desk("job", "add", "-", stdin=wrong)
    assert result.exit_code == 1
    assert "lines[0].szes" in result.stderr
    assert "lines[0].price_each" in result.stderr
    assert desk.json("job", "list") == {"jobs": []}
    errors = desk.json("job", "add", "-", stdin=wrong, status=1)
    assert set(errors["error"]) == {"what", "where", "found", "allowed", "do"}


def test_why_a_job_is_held_or_given_up_is_told_wherever_it_is_shown(desk: Desk) -> None:
    desk.job()
    for change, why in (("hold", "blanks"), ("cancel", "elsewhere")):
        sure = ["--yes"] if change == "cancel" else []
        assert desk("job", change, "J0001", "--why", why, *sure).exit_code == 0
        for words in (("job", "list"), ("job", "show", "J0001"), *([("board",)] if change == "hold" else [])):
            assert why in desk(*words).stdout, words
        assert desk.json("job", "show", "J0001")["why"] == why


def test_travellers_and_cards_are_pdf_files(desk: Desk) -> None:
    desk.job()
    for words in (("tickets", "J0001"), ("cards",)):
        file = desk.folder / f"{words[0]}.pdf"
        assert desk(*words, "-o", str(file)).exit_code == 0
        assert file.read_bytes().startswith(b"%PDF")


def test_a_ticket_on_an_unknown_paper_is_refused_with_the_papers_there_are(desk: Desk) -> None:
    desk.job()
    result = desk("tickets", "J0001", "-o", str(desk.folder / "x.pdf"), "--stock", "napkin")
    assert result.exit_code == 2
    assert "label-4x6" in result.stderr


def test_a_scan_answers_with_every_key_and_a_refusal_with_status_1(desk: Desk) -> None:
    piece = desk.job()[0]
    answer = desk.json("scan", piece, "--station", "pretreat booth")
    assert {"outcome", "piece", "step", "next", "reason", "say", "seconds_left"} <= set(answer)
    assert (answer["outcome"], answer["step"], answer["next"]) == ("accepted", "pretreat", "underlayer")
    refused = desk.json("scan", piece, "--station", "packing", status=1)
    assert (refused["outcome"], refused["reason"]) == ("refused", "missed-step")


def test_a_walked_piece_shows_its_walk_its_times_and_its_costs(desk: Desk) -> None:
    piece = desk.job()[0]
    desk.walk(piece)
    answer = desk.json("piece", piece)
    assert answer["state"] == "finished"
    assert [step["step"] for step in answer["walk"]] == ["pretreat", "underlayer", "inspect", "colour", "cure", "pack"]
    assert answer["walk"][4]["processing_s"] == 240
    assert list(answer["quoted"]) == list(answer["actual"]) == ELEMENTS


def test_the_board_is_the_floor_as_data(desk: Desk) -> None:
    desk.job()
    board = desk.json("board")
    assert {"at", "seq", "steps", "presses", "wet", "jobs", "alarms", "today"} <= set(board)
    assert board["steps"][0] | {"oldest_wait_s": 0} == {
        "step": "pretreat",
        "waiting": 3,
        "working": 0,
        "oldest_wait_s": 0,
    }
    assert set(desk.json("press")) >= {"presses", "wet"}


def test_a_past_board_shows_what_was_known_then(desk: Desk) -> None:
    desk.job()
    assert desk.json("board", "--at", "2026-01-01T00:00:00")["jobs"] == []


@pytest.mark.parametrize("at", ["yesterday", "9999-12-31T23:59:00-14:00", ""])
def test_a_moment_that_is_none_is_refused_with_an_example(desk: Desk, at: str) -> None:
    result = desk("board", "--at", at)
    assert result.exit_code == 1
    assert "2026-11-25T14:30" in result.stderr


def test_the_week_is_reported_with_the_keys_that_scripts_rest_on(desk: Desk) -> None:
    desk.walk(desk.job()[0])
    report = desk.json("report", "--week", "2026-W48")
    assert set(report) >= {
        "week",
        "currency",
        "finished",
        "spoiled",
        "open",
        "jobs",
        "total",
        "cycle_time_s",
        "steps",
        "first_pass_yield",
        "throughput_per_hour",
        "spoiled_by_reason",
        "late_jobs",
        "ink",
        "says",
    }
    assert (report["finished"], report["open"]) == (1, 2)
    job = report["jobs"][0]
    assert set(job["variance"]) == {*ELEMENTS}
    assert set(job["variance"]["labour"]) == {"price", "quantity"}


def test_a_week_that_is_none_is_refused(desk: Desk) -> None:
    result = desk("report", "--week", "2026-W54")
    assert result.exit_code == 1
    assert "W53" in result.stderr


def test_written_scans_are_read_by_the_same_rules_and_once(desk: Desk) -> None:
    piece = desk.job()[0]
    lines = "occurred_at,code,station,badge\n2026-11-23T09:00,{0},pretreat booth,A\n2026-11-23T09:05,{0},printer 1,A\n"
    file = desk.folder / "paper.csv"
    file.write_text(lines.format(piece), encoding="utf-8")
    assert desk.json("backfill", str(file))["accepted"] == 2
    desk.json("backfill", str(file))
    walk = desk.json("piece", piece)["walk"]
    assert [step["step"] for step in walk if step["done"]] == ["pretreat", "underlayer"]


def test_a_written_scan_that_cannot_be_read_refuses_the_whole_file(desk: Desk) -> None:
    piece = desk.job()[0]
    lines = f"occurred_at,code,station,badge\n2026-11-23T09:00,{piece},pretreat booth,\nyesterday,{piece},bench,\n"
    result = desk("backfill", "-", stdin=lines)
    assert result.exit_code == 1
    assert "line 3" in result.stderr
    assert [step for step in desk.json("piece", piece)["walk"] if step["done"]] == []


def test_a_held_job_is_refused_at_the_stations_until_it_is_released(desk: Desk) -> None:
    one, other, _ = desk.job()
    desk("job", "hold", "J0001", "--why", "the customer rang")
    assert desk.json("scan", one, "--station", "pretreat booth", status=1)["reason"] == "held"
    desk("job", "release", "J0001")
    assert desk.json("scan", other, "--station", "pretreat booth")["outcome"] == "accepted"


def test_a_scan_that_has_not_come_yet_is_refused_and_nothing_is_recorded(desk: Desk) -> None:
    piece = desk.job()[0]
    result = desk("scan", piece, "--station", "pretreat booth", "--at", "2999-01-01T10:00")
    assert result.exit_code == 1
    assert "has not come yet" in result.stderr
    assert [step for step in desk.json("piece", piece)["walk"] if step["done"]] == []


def test_a_job_that_is_given_up_with_a_piece_in_a_press_says_what_to_take_out(desk: Desk) -> None:
    [piece, *_] = desk.job()
    for minute, station in enumerate(("pretreat booth", "printer 1", "inspection", "printer 1", "press 1")):
        desk("scan", piece, "--station", station, "--at", f"2026-11-23T09:{minute:02}:00")
    told = desk("job", "cancel", "J0001", "--yes")
    assert told.stderr == f"{piece} is still in press 1: take it out, and scan it there.\n"


def test_what_a_hold_does_is_told_as_it_is(desk: Desk) -> None:
    said = " ".join(desk("job", "hold", "--help").stdout.split())
    assert "What is wet is cured all the same" in said
    assert "refused at every station" not in said


def test_nobody_cancels_a_job_by_accident(desk: Desk) -> None:
    desk.job()
    assert desk("job", "cancel", "J0001").exit_code == 1
    assert desk("job", "cancel", "J0001", "--yes").exit_code == 0
    assert desk.json("job", "show", "J0001")["state"] == "cancelled"


def test_nobody_is_asked_whether_a_job_should_be_given_up_that_cannot_be(desk: Desk) -> None:
    assert desk("job", "cancel", "J0099").exit_code == 1
    assert desk("job", "cancel", "J0099").stderr.startswith("There is no job 'J0099'; jobs here: none yet.")
    desk.job()
    desk("job", "cancel", "J0001", "--yes")
    assert "was cancelled before" in desk("job", "cancel", "J0001").stderr


def test_one_is_one_and_many_are_many(desk: Desk) -> None:
    file = str(desk.folder / "out.pdf")
    assert "J0001 is taken: 3 pieces." in desk("job", "add", "-", stdin=JOB).stdout
    assert "J0002 is taken: 1 piece." in desk("job", "add", "-", stdin=job_text("S = 1")).stdout
    assert desk("tickets", "J0001", "-o", file).stderr.startswith(f"3 travellers are in {file}. ")
    assert desk("tickets", "J0002", "-o", file).stderr.startswith(f"1 traveller is in {file}. ")
    assert desk("cards", "-o", file).stderr == f"20 cards are in {file}.\n"


def test_spoiling_by_hand_opens_a_remake(desk: Desk) -> None:
    piece = desk.job()[0]
    reason = card(CodeType.REASON, "banding")
    desk.json("scan", reason, "--station", "inspection", "--at", "2026-11-23T09:00:00")
    answer = desk.json("scan", piece, "--station", "inspection", "--at", "2026-11-23T09:00:05")
    assert desk.json("piece", piece)["state"] == "spoiled"
    assert desk.json("piece", answer["remake"])["remake_of"] == piece


def test_without_a_shop_file_a_person_is_told_how_to_make_one(desk: Desk, tmp_path: Path) -> None:
    desk.shop = tmp_path
    result = desk("board")
    assert result.exit_code == 1
    assert "piecewalk init" in result.stderr


def test_the_wall_needs_a_terminal_and_can_be_drawn_once(desk: Desk) -> None:
    desk.job()
    assert desk("wall").exit_code == 1
    assert "J0001" in desk("wall", "--once").stdout


def test_a_customer_s_name_cannot_drive_the_terminal(desk: Desk) -> None:
    desk("job", "add", "-", stdin=JOB.replace("Harbour rowing club", "\\u001b[2J\\u001b]0;x\\u0007 [red]Club"))
    for words in (("board",), ("job", "list"), ("job", "show", "J0001"), ("wall", "--once"), ("report",)):
        output = desk(*words).output
        assert "\x1b" not in output
        assert "\x07" not in output


def test_a_job_in_work_shows_its_execution_time_and_what_it_is_made_of(desk: Desk) -> None:
    desk.job()
    assert desk.json("job", "show", "J0001")["times"] is None
    assert "Nothing of it was begun" in desk("job", "show", "J0001").output
    [piece, *_] = [each["piece"] for each in desk.json("job", "show", "J0001")["walks"]]
    desk.walk(piece)
    for each in ("elapsed", "working"):
        its = desk.json("job", "show", "J0001")["times"][each]
        assert its["execution_s"] == pytest.approx(its["busy_s"] + its["transport_s"] + its["queuing_s"])
    assert "In execution" in desk("job", "show", "J0001").output
