"""Scans that were written down on paper, as a CSV file."""

from contextlib import suppress
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.service.backfill import read_backfill
from shared.files.problems import ProblemsFound
from shared.scan import Scan
from tests.making import shop

HEAD = "occurred_at,code,station,badge\n"
NOW = datetime(2026, 12, 31, tzinfo=UTC)


def scans(*lines: str) -> list[Scan]:
    return [scan for _, scan in read_backfill(HEAD + "\n".join(lines), "monday.csv", shop(), NOW)]


def problems(text: str) -> list[tuple[str, str]]:
    with pytest.raises(ProblemsFound) as refused:
        read_backfill(text, "monday.csv", shop(), NOW)
    return [(problem.where.removeprefix("monday.csv: "), problem.found) for problem in refused.value.problems]


def test_a_scan_that_has_not_come_yet_is_a_slip_of_the_pen() -> None:
    assert problems(HEAD + "2062-11-25T14:30,1000000161,packing,A\n") == [("line 2", '"2062-11-25T14:30"')]


def test_a_line_is_a_scan() -> None:
    [scan] = scans("2026-11-25T14:30:05,1000000161,packing,A")
    assert (scan.text, scan.station, scan.badge, scan.device) == ("1000000161", "packing", "A", "backfill")


def test_a_time_without_an_offset_is_the_shop_s_own() -> None:
    [scan] = scans("2026-11-25T14:30,1000000161,packing,")
    assert scan.at == datetime(2026, 11, 25, 19, 30, tzinfo=UTC)


def test_a_time_with_an_offset_is_what_it_says() -> None:
    [scan] = scans("2026-11-25T14:30+01:00,1000000161,packing,")
    assert scan.at == datetime(2026, 11, 25, 13, 30, tzinfo=UTC)


def test_a_line_without_a_badge_is_by_nobody() -> None:
    [scan] = scans("2026-11-25 14:30,1000000161,packing,")
    assert scan.badge is None


def test_the_badge_column_may_be_left_out_and_the_others_stand_in_any_order() -> None:
    [(_, scan)] = read_backfill("station,code,occurred_at\npacking,12,2026-11-25T14:30\n", "f", shop(), NOW)
    assert (scan.text, scan.badge) == ("12", None)


def test_a_file_that_a_spreadsheet_wrote_is_read() -> None:
    text = "\ufeffoccurred_at,code,station,badge\r\n2026-11-25T14:30, 1000 0001 61 ,packing,A\r\n"
    [(line, scan)] = read_backfill(text, "f", shop(), NOW)
    assert (line, scan.text) == (2, "1000 0001 61")


def test_scans_come_in_the_order_in_which_they_occurred() -> None:
    found = scans("2026-11-25T14:30,1,packing,", "2026-11-25T14:20,2,packing,", "2026-11-25T14:20,3,packing,")
    assert [scan.text for scan in found] == ["2", "3", "1"]


def test_each_scan_knows_its_line() -> None:
    lines = "2026-11-25T14:30,1,packing,\n\n2026-11-25T14:20,2,packing,\n"
    assert [line for line, _ in read_backfill(HEAD + lines, "f", shop(), NOW)] == [4, 2]


def test_the_same_line_has_the_same_read_id_in_whatever_file_it_stands() -> None:
    [one] = scans("2026-11-25T14:30,1000000161,packing,A")
    _, again = scans("2026-11-25T14:20,1000000161,packing,A", "2026-11-25T19:30:00Z,1000000161, packing ,A")
    assert one.read_id == again.read_id


def test_two_lines_that_differ_have_read_ids_that_differ() -> None:
    found = scans(
        "2026-11-25T14:30,1000000161,packing,A",
        "2026-11-25T14:30,1000000161,packing,B",
        "2026-11-25T14:30,1000000161,press 1,A",
        "2026-11-25T14:30,1000000258,packing,A",
        "2026-11-25T14:31,1000000161,packing,A",
    )
    assert len({scan.read_id for scan in found}) == 5


def test_a_wrong_code_is_left_to_the_rules() -> None:
    assert scans("2026-11-25T14:30,not a code,packing,")[0].text == "not a code"


def test_everything_that_is_wrong_is_told_with_its_line() -> None:
    text = HEAD + "yesterday,1,packing,A\n2026-11-25T14:30,,printer 9,Zoe\n2026-11-25T14:30,1,packing,A,extra\n"
    assert problems(text) == [
        ("line 2", '"yesterday"'),
        ("line 3", "nothing"),
        ("line 3", '"printer 9"'),
        ("line 3", '"Zoe"'),
        ("line 4", '"extra"'),
    ]


def test_one_bad_line_refuses_the_file() -> None:
    assert len(problems(HEAD + "2026-11-25T14:30,1,packing,A\nnever,1,packing,A\n")) == 1


def test_what_is_allowed_is_told() -> None:
    with pytest.raises(ProblemsFound, match="a station: pretreat booth, printer 1, inspection, press 1, packing"):
        read_backfill(HEAD + "2026-11-25T14:30,1,,A\n", "monday.csv", shop(), NOW)


@pytest.mark.parametrize("text", ["", "\n", "when,what\n1,2\n"])
def test_a_file_without_the_columns_is_refused(text: str) -> None:
    [(where, _)] = problems(text)
    assert where == "line 1"


def test_a_file_with_its_columns_alone_has_no_scans() -> None:
    assert scans() == []


def test_a_quote_that_is_never_closed_is_told() -> None:
    [(where, _)] = problems(HEAD + '2026-11-25T14:30,"1,packing,A\n')
    assert where == "line 2"


@pytest.mark.parametrize("at", ["9999-12-31T23:59", "0001-01-01T00:00+14:00", "2026-13-01", "", "14:30"])
def test_a_moment_that_no_clock_shows_is_refused(at: str) -> None:
    [(where, _)] = problems(HEAD + f"{at},1,packing,A\n")
    assert where == "line 2"


@given(st.text())
def test_any_text_is_read_or_refused(text: str) -> None:
    for whole in (text, HEAD + text):
        with suppress(ProblemsFound):
            assert [scan.device for _, scan in read_backfill(whole, "f", shop(), NOW)].count("backfill") <= whole.count(
                "\n"
            )
