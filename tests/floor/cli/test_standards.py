"""`standards`: a proposal is written into the shop file, which keeps its comments; quotes stay as they were."""

from datetime import timedelta
from pathlib import Path

import pytest

from shared.clock import SetClock
from tests.floor.cli.desk import Desk, job_text
from tests.making import MONDAY


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """On each of five days a piece was pretreated in half a minute, scanned in and out; its standard is 90 s."""
    clock = SetClock(MONDAY)
    desk = Desk(tmp_path, clock)
    head = '[steps.pretreat]\nevent = "pretreated"\nkind = "hand"                            # hand, machine, dwell\n'
    desk.rewrite(f'{head}scans = "out"   ', f'{head}scans = "in_out"')
    for day, piece in enumerate(desk.json("job", "add", "-", stdin=job_text("M = 5"))["pieces"]):
        clock.set(MONDAY + timedelta(days=day))
        for _ in ("in", "out"):
            desk.json("scan", piece, "--station", "pretreat booth", "--badge", "A")
            clock.advance(timedelta(seconds=30))
    return desk


def test_a_proposal_is_shown_and_nothing_is_changed(desk: Desk) -> None:
    before = (desk.shop / "shop.toml").read_text()
    result = desk("standards")
    assert "steps.pretreat.touch_s" in result.output
    assert (desk.shop / "shop.toml").read_text() == before


def test_an_accepted_proposal_is_in_the_shop_file_and_every_comment_too(desk: Desk) -> None:
    before = (desk.shop / "shop.toml").read_text()
    quoted = desk.json("job", "show", "J0001")["quote"]
    answer = desk.json("standards", "--accept", "steps.pretreat.touch_s")
    assert answer["accepted"] == ["steps.pretreat.touch_s"]
    after = (desk.shop / "shop.toml").read_text()
    assert after == before.replace("touch_s = 90 ", "touch_s = 30 ")
    assert after != before
    assert desk.json("job", "show", "J0001")["quote"] == quoted
    assert desk.json("check")["good"]


def test_all_accepts_every_proposal(desk: Desk) -> None:
    assert desk.json("standards", "--accept", "all")["accepted"] == ["steps.pretreat.touch_s"]


def test_what_is_not_proposed_is_refused_with_what_is(desk: Desk) -> None:
    error = desk.json("standards", "--accept", "steps.cure.min_s", status=1)["error"]
    assert error["allowed"] == "steps.pretreat.touch_s"


def test_a_standard_that_was_mistyped_is_asked_about(desk: Desk) -> None:
    error = desk.json("standards", "--accept", "steps.pretreat.touch", status=1)["error"]
    assert error["do"].startswith('Did you mean "steps.pretreat.touch_s"?')


@pytest.mark.parametrize(
    ("written", "question"),
    [
        ("pretraet", 'Did you mean "steps.pretreat.touch_s"? '),
        ("pretreat", 'Did you mean "steps.pretreat.touch_s"? '),
        ("steps.pretraet.touch_s", 'Did you mean "steps.pretreat.touch_s"? '),
        ("colur", 'Did you mean "steps.colour.machine_s"? '),
        ("steps.pretreat.touch_s", ""),
        ("cure", ""),
        ("knitting", ""),
    ],
)
def test_a_step_is_asked_about_where_nothing_was_learned_too(tmp_path: Path, written: str, question: str) -> None:
    error = Desk(tmp_path).json("standards", "--accept", written, status=1)["error"]
    assert error["do"] == f"{question}See: piecewalk standards"


def test_a_shop_without_work_has_nothing_to_show(tmp_path: Path) -> None:
    assert "No step was timed" in Desk(tmp_path)("standards").output
