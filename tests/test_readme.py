"""What the README tells a stranger to type is what is tested."""

import os
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


def shell_lines(markdown: str) -> list[str]:
    """The lines of every shell block."""
    blocks = re.findall(r"^```sh\n(.*?)^```$", markdown, re.DOTALL | re.MULTILINE)
    return [line for block in blocks for line in block.splitlines()]


@pytest.fixture
def ci_run() -> Path:
    path = ROOT / ".ci" / "run"
    if not path.exists():
        pytest.skip("a copy without .ci, such as an unpacked source distribution")
    return path


def test_ci_ends_with_the_readmes_own_line(ci_run: Path) -> None:
    last = ci_run.read_text(encoding="utf-8").splitlines()[-1]
    assert "pytest" in last
    assert last in shell_lines((ROOT / "README.md").read_text(encoding="utf-8"))


def test_ci_can_be_run(ci_run: Path) -> None:
    assert os.access(ci_run, os.X_OK)
