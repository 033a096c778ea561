"""The crowded shop is as crowded as it says, in every language, and the same each time."""

from collections import Counter
from pathlib import Path

import pytest

from demo_shop.crowd import AT, JOBS, PRESSES, WET, furnish, open_crowd
from floor.core.plan.board import Board, board
from shared.words import LANGUAGES


def board_of(path: Path, language: str) -> Board:
    folder = furnish(path, language)
    return board(folder.floor(), folder.shop, AT)


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_crowd_has_sixty_jobs_eight_presses_thirty_wet_pieces_and_four_kinds_of_alarms(
    tmp_path: Path, language: str
) -> None:
    shown = board_of(tmp_path / "crowd", language)
    assert (len(shown.jobs), len(shown.presses), len(shown.wet)) == (JOBS, PRESSES, WET)
    assert len(Counter(alarm.kind for alarm in shown.alarms)) == 4
    assert any(job.why for job in shown.jobs)


def test_a_crowd_is_the_same_each_time(tmp_path: Path) -> None:
    assert board_of(tmp_path / "one", "en") == board_of(tmp_path / "other", "en")


def test_a_folder_that_is_there_is_left_alone(tmp_path: Path) -> None:
    with pytest.raises(FileExistsError):
        furnish(tmp_path)


def test_its_pages_can_be_looked_at(tmp_path: Path) -> None:
    folder = furnish(tmp_path / "crowd")
    file = folder.path / "shop.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("127.0.0.1:8765", "127.0.0.1:0"), encoding="utf-8")
    with open_crowd(type(folder)(folder.path, folder.clock)) as said:
        assert "http://127.0.0.1:" in said
