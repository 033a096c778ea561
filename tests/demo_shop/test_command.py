"""`piecewalk demo`, as it is called."""

from pathlib import Path

import pytest
from click.testing import CliRunner
from msgspec.structs import replace

from demo_shop import show
from demo_shop.command import demo
from demo_shop.promises import DemoPromise, NotAsPromised
from demo_shop.scene import Scene
from demo_shop.staging import Outcome
from tests.demo_shop.conftest import Again, PlayedDay


def test_the_summary_says_what_was_read_back_from_paper(day: PlayedDay) -> None:
    jobs = {code: {"given": job.wanted, "read_back": job.wanted} for code, job in day.floor.jobs.items()}
    assert day.answer["jobs"] == jobs
    assert day.answer["cards_read_back"] == len(day.shop.cards)


def test_the_summary_has_the_report_and_every_promise(day: PlayedDay) -> None:
    assert day.answer["good"] is True
    assert day.answer["report"]["finished"] == sum(job.wanted for job in day.floor.jobs.values())
    assert all(promise["kept"] for promise in day.answer["promises"])


def test_the_shop_that_was_kept_can_be_looked_at_with_the_other_commands(day: PlayedDay) -> None:
    from floor.cli.main import main

    words = ["report", "--week", "2026-W47", "--json"]
    told = CliRunner().invoke(main, words, obj=day.folder)
    assert told.exit_code == 0, told.output


def test_off_a_terminal_a_few_pictures_of_the_wall_are_shown(again: Again) -> None:
    assert again.seen.count("presses 2") == 3


def test_a_folder_that_exists_is_left_alone(tmp_path: Path) -> None:
    told = CliRunner().invoke(demo, ["--fast", "--keep", str(tmp_path)])
    assert told.exit_code == 1
    assert "exists already" in told.stderr
    assert list(tmp_path.iterdir()) == []


def outcome_instead(monkeypatch: pytest.MonkeyPatch, outcome: Outcome) -> None:
    """Have the demo come out as it did before, with a change."""

    def perform(_path: Path, _seed: int, _scene: Scene) -> Outcome:
        return outcome

    monkeypatch.setattr(show, "perform", perform)


def test_a_day_that_went_well_ends_with_status_0_and_the_report(again: Again, monkeypatch: pytest.MonkeyPatch) -> None:
    outcome_instead(monkeypatch, again.outcome)
    told = CliRunner().invoke(demo, ["--fast"])
    assert told.exit_code == 0
    assert "week 2026-W47" in told.stdout
    assert "promises kept" in told.stdout


def test_a_broken_promise_is_named_and_ends_with_status_1(again: Again, monkeypatch: pytest.MonkeyPatch) -> None:
    broken = DemoPromise(promise="every card reads", kept=False, found="found 20, promised 21")
    outcome_instead(monkeypatch, replace(again.outcome, promises=[*again.outcome.promises, broken]))
    told = CliRunner().invoke(demo, ["--fast"])
    assert told.exit_code == 1
    assert "every card reads: found 20, promised 21" in told.stdout


def test_a_day_that_cannot_go_on_says_why_and_ends_with_status_1(monkeypatch: pytest.MonkeyPatch) -> None:
    def perform(_path: Path, _seed: int, _scene: Scene) -> Outcome:
        raise NotAsPromised("booth gun: no answer within 20 s")

    monkeypatch.setattr(show, "perform", perform)
    told = CliRunner().invoke(demo, ["--fast"])
    assert told.exit_code == 1
    assert told.stderr == "booth gun: no answer within 20 s.\n"


def test_the_commands_to_try_next_name_the_shop_that_was_kept(
    again: Again, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    outcome_instead(monkeypatch, again.outcome)
    told = CliRunner().invoke(demo, ["--fast", "--keep", str(tmp_path / "new")])
    assert f"piecewalk --shop {again.outcome.folder.path} report --week 2026-W47" in told.stdout
