"""A ledger that was cut off, or made anew, fits itself: only what is kept elsewhere shows it."""

from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from floor.cli.opening import Folder
from floor.ledger import Damaged, Ledger, MemoryLedger, make_ledger
from floor.ledger.anchor import Anchor, anchor_of, noted, parsed
from floor.ledger.check import first_trouble
from floor.reports.weekly import WeeklyReports
from shared.clock import SetClock
from shared.events.floor import WeekReported
from shared.events.recorded import Fact
from tests.floor.cli.desk import Desk, job_text
from tests.floor.ledger.facts import a_read, append
from tests.making import MONDAY


def ledger_of(*reads: str) -> Ledger:
    ledger = MemoryLedger()
    for read_id in reads:
        append(ledger, a_read(read_id))
    return ledger


WHOLE = ledger_of("a", "b", "c")
ANCHOR = anchor_of(WHOLE.noted_head(), "the backup")


def test_the_ledger_itself_and_one_that_went_on_hold_the_anchor() -> None:
    ANCHOR.check(WHOLE)
    ANCHOR.check(ledger_of("a", "b", "c", "d"))
    parsed(str(ANCHOR)).check(WHOLE)


@pytest.mark.parametrize(
    ("ledger", "told"),
    [(ledger_of("a", "b"), "row 3: it is missing, and the backup"), (ledger_of("a", "x", "c"), "row 3: it is another")],
    ids=["cut off", "made anew"],
)
def test_a_chain_that_fits_itself_but_not_the_anchor_is_damaged(ledger: Ledger, told: str) -> None:
    assert first_trouble(ledger) is None, "by itself it looks whole"
    with pytest.raises(Damaged, match=told):
        ANCHOR.check(ledger)


@pytest.mark.parametrize(
    "text", ["", "3", "3:", "0:0123456789abcdef", "3:0123456789abcde", "3:0123456789abcdeg", "-3:" + "0" * 16]
)
def test_what_is_no_anchor_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is no anchor"):
        parsed(text)


def test_an_empty_ledger_has_no_anchor_and_a_check_asks_nobody_to_note_one(tmp_path: Path) -> None:
    assert str(anchor_of(MemoryLedger().noted_head(), "nothing")) == ""
    empty = Desk(tmp_path)
    assert empty.json("check")["anchor"] == ""
    told = empty("check").output
    assert "There are no rows yet" in told
    assert "--anchor" not in told


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    desk = Desk(tmp_path)
    desk.job()
    desk.back_up("ledger-2026-11-25.db")
    return desk


def make_anew(desk: Desk) -> None:
    """Somebody writes another history, every hash of which fits."""
    (desk.shop / "ledger.db").unlink()
    with closing(make_ledger(f"sqlite:///{desk.shop}/ledger.db")):
        pass
    for _ in range(3):
        assert desk("job", "add", "-", stdin=job_text("XL = 3")).exit_code == 0


def test_check_says_what_it_was_held_against_and_what_no_chain_can_show(desk: Desk) -> None:
    answer = desk.json("check")
    assert answer["anchored_rows"] == answer["rows"]
    assert f"--anchor {answer['anchor']}" in desk("check").stdout
    assert "can cut off or rewrite later ones unseen" in desk("check").stdout
    assert desk("check", "--anchor", answer["anchor"]).exit_code == 0


def test_check_holds_the_ledger_against_the_newest_backup(desk: Desk) -> None:
    make_anew(desk)
    result = desk("check")
    assert result.exit_code == 1
    assert "than the backup ledger-2026-11-25.db has" in result.stderr


def test_check_holds_the_ledger_against_an_anchor_on_paper(desk: Desk) -> None:
    anchor = desk.json("check")["anchor"]
    (desk.shop / "backups" / "ledger-2026-11-25.db").unlink()
    make_anew(desk)
    assert desk("check").exit_code == 0, "without the anchor nothing shows"
    assert f"the anchor {anchor}" in desk("check", "--anchor", anchor).stderr
    assert desk("check", "--anchor", "x").exit_code == 2


def test_an_anchor_of_an_empty_ledger_holds_anything() -> None:
    Anchor(0, "", "the backup").check(WHOLE)


# The heads that the reports of the weeks noted


def reported(desk: Desk) -> None:
    """The floor writes the report of the week that is over, and records that."""
    desk.clock = SetClock(MONDAY + timedelta(days=8))
    with Folder(desk.shop, desk.clock).service() as service:
        WeeklyReports(service, desk.shop, lambda _: None).chore.look()


def make_anew_but_for(desk: Desk, seq: int) -> None:
    """Somebody leaves a row out, and computes every hash after it."""
    with Folder(desk.shop, desk.clock).ledger() as ledger:
        facts = [Fact(event=row.event, occurred_at=row.occurred_at) for row in ledger.rows() if row.seq != seq]
    (desk.shop / "ledger.db").unlink()
    with closing(make_ledger(f"sqlite:///{desk.shop}/ledger.db")) as ledger, ledger.transaction() as transaction:
        transaction.append(facts, MONDAY)


def test_check_holds_the_ledger_against_what_each_week_s_report_noted(desk: Desk) -> None:
    desk.walk(desk.json("job", "add", "-", stdin=job_text("XL = 1"))["pieces"][0])
    with Folder(desk.shop, desk.clock).ledger() as ledger:
        last = ledger.head()
    reported(desk)
    (desk.shop / "backups" / "ledger-2026-11-25.db").unlink()
    assert desk("check").exit_code == 0
    make_anew_but_for(desk, last)
    result = desk("check")
    assert result.exit_code == 1
    assert f"row {last}: it is another one than the report of week 2026-W48 has" in result.stderr


def test_a_head_that_is_none_in_a_week_s_report_is_damage() -> None:
    rows = ledger_of("a").rows()
    event = WeekReported(week="2026-W48", end=MONDAY, digest="", anchor="x")
    with pytest.raises(Damaged, match="'x' is no anchor"):
        list(noted((replace(row, event=event) for row in rows), []))
