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


TREE = [path.relative_to(ROOT).as_posix() for path in ROOT.rglob("*") if ".venv" not in path.parts]


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md"])
def test_each_file_of_the_house_that_is_named_stands_where_it_is_said_to(document: str) -> None:
    text = (ROOT / document).read_text(encoding="utf-8")
    named = re.findall(r"`((?:floor|shared|tickets|scanners|demo_shop|tests)/[\w/.]*|test_\w+\.py)`", text)
    assert named
    assert [name for name in named if not any(_is(path, name.rstrip("/")) for path in TREE)] == []


def _is(path: str, name: str) -> bool:
    """Whether it is the whole path, or, of a bare test_x.py, the last of it."""
    return path == name or ("/" not in name and path.endswith(f"/{name}"))


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
