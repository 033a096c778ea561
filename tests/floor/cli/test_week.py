"""`report`, `report explain` and `stock`, as they are typed."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from shared.clock import SetClock
from tests.floor.cli.desk import Desk

NOON = datetime(2026, 11, 25, 17, tzinfo=UTC)


@pytest.fixture
def clock() -> SetClock:
    return SetClock(datetime(2026, 11, 23, 13, tzinfo=UTC))


@pytest.fixture
def desk(tmp_path: Path, clock: SetClock) -> Desk:
    """A shop in which one piece of three was walked, slowly."""
    desk = Desk(tmp_path, clock)
    first, *_ = desk.job()
    clock.set(NOON)
    desk.walk(first)
    return desk


def changed(desk: Desk, old: str, new: str) -> None:
    file = desk.shop / "shop.toml"
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def test_the_rows_behind_a_figure_of_the_week_add_up_to_it(desk: Desk) -> None:
    [job] = desk.json("report", "--week", "2026-W48")["jobs"]
    for element in ("labour", "machine", "overhead", "spoilage", "garment"):
        found = desk.json("report", "explain", "J0001", element, "--week", "2026-W48")
        figure = Decimal(job["actual"][element]) - Decimal(job["quoted"][element])
        assert sum((Decimal(row["difference"]) for row in found["reasons"]), Decimal(0)) == figure


def test_without_a_week_it_is_the_whole_job(desk: Desk) -> None:
    assert desk.json("report", "explain", "J0001", "machine")["week"] is None
    assert "J0001, machine time in all: quoted" in desk("report", "explain", "J0001", "machine").stdout


def test_of_a_week_in_which_nothing_left_the_floor_there_is_nothing_to_explain(desk: Desk) -> None:
    result = desk("report", "explain", "J0001", "labour", "--week", "2026-W40")
    assert (result.exit_code, result.stdout) == (1, "")
    assert "No piece of J0001 was finished or spoiled in 2026-W40" in result.stderr


def test_an_option_that_would_do_nothing_is_refused(desk: Desk) -> None:
    assert desk("report", "--week", "2026-W48", "explain", "J0001", "labour").exit_code == 2


def test_an_unknown_job_or_element_is_refused(desk: Desk) -> None:
    assert desk("report", "explain", "J0009", "labour").exit_code == 1
    assert desk("report", "explain", "J0001", "luck").exit_code == 2


def test_the_report_stays_when_prices_go_up_afterwards(desk: Desk, clock: SetClock) -> None:
    before = desk.json("report", "--week", "2026-W48")["total"]
    changed(desk, 'labour_per_hour = "18.00"', 'labour_per_hour = "28.00"')
    clock.advance(timedelta(minutes=1))
    desk.job()
    assert desk.json("report", "--week", "2026-W48")["total"] == before


def test_another_currency_is_refused_wherever_there_are_amounts(desk: Desk) -> None:
    changed(desk, 'currency = "USD"', 'currency = "EUR"')
    for words in (["report"], ["check"], ["job", "list"], ["scan", "1000000161", "--station", "packing"]):
        result = desk(*words)
        assert result.exit_code == 1, words
        assert 'the ledger has amounts in USD. Write: currency = "USD"' in result.stderr


def test_blanks_that_came_in_are_on_hand_until_they_are_drawn(desk: Desk) -> None:
    desk.json(
        *("stock", "receive", "heavy tee", "--colour", "navy", "--size", "M"),
        *("--quantity", "24"),
        *("--cost-each", "1,95"),
    )
    [found] = desk.json("stock")["blanks"]
    assert (found["received"], found["on_hand"], found["worth"]) == (24, 24, "46.80")
    assert "heavy tee, navy, M" in desk("stock").stdout


def test_a_shop_that_received_nothing_is_told_how(desk: Desk) -> None:
    assert "piecewalk stock receive" in desk("stock").stdout
    assert desk.json("stock")["blanks"] == []


def test_what_cannot_be_received_is_refused_and_nothing_is_recorded(desk: Desk) -> None:
    words = ["--colour", "navy", "--size", "M", "--quantity", "1", "--cost-each", "1.95"]
    refused = desk("stock", "receive", "top hat", *words)
    assert (refused.exit_code, "no item 'top hat'" in refused.stderr) == (1, True)
    assert desk("stock", "receive", "heavy tee", *words[:-1], "much").exit_code == 2
    assert desk("stock", "receive", "heavy tee", *words[:-1], "-3").exit_code == 1
    assert desk("stock", "receive", "heavy tee", *words, "--at", "2031-01-01T10:00").exit_code == 1
    assert desk.json("stock")["blanks"] == []


def test_a_week_that_has_not_come_yet_is_no_week_to_report(desk: Desk) -> None:
    result = desk("report", "--week", "2999-W01")
    assert (result.exit_code, "has not come yet" in result.stderr) == (1, True)
