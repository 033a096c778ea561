"""`standards`: a proposal is written into the shop file, which keeps its comments; quotes stay as they were."""

from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import Result

from floor.cli.main import main
from floor.cli.opening import Folder
from shared.clock import SetClock
from tests.floor.cli.test_commands import Desk
from tests.making import MONDAY

JOB = """
customer = "Harbour rowing club"
due = 2030-12-02T16:00:00
[[lines]]
design = "oars"
item = "heavy tee"
colour = "navy"
sizes = { M = 9 }
price_each = "21.50"
[[lines.prints]]
place = "front"
width_mm = 305
height_mm = 330
"""


class DeskInTime(Desk):
    """A desk whose clock can be set."""

    def __init__(self, folder: Path) -> None:
        self.clock = SetClock(MONDAY)
        super().__init__(folder)

    def __call__(self, *words: str, stdin: str | bytes | None = None) -> Result:
        return self.runner.invoke(main, words, input=stdin, obj=Folder(self.shop, self.clock))


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """Nine pieces were pretreated half a minute apart, which by the standard take 90 s each."""
    desk = DeskInTime(tmp_path)
    lines = ["occurred_at,code,station,badge"]
    for piece in desk.json("job", "add", "-", stdin=JOB)["pieces"]:
        lines.append(f"{desk.clock.advance(timedelta(seconds=30)).isoformat()},{piece},pretreat booth,A")
    assert desk("backfill", "-", stdin="\n".join(lines)).exit_code == 0
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


def test_a_shop_without_work_has_nothing_to_show(tmp_path: Path) -> None:
    assert "No step was timed" in Desk(tmp_path)("standards").output
