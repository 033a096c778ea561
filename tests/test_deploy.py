"""What is shipped to run the floor as a service or in a container names what exists, and what the README says."""

import configparser
import shlex
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Mapping
from pathlib import Path

import pytest

from floor.cli.main import main
from tests.test_readme import ROOT, shell_lines

UNIT = ROOT / ".deploy" / "piecewalk.service"
CONTAINER = ROOT / ".deploy" / "Containerfile"
pytestmark = pytest.mark.skipif(not UNIT.exists(), reason="a copy without .deploy, such as a source distribution")


def service() -> Mapping[str, str]:
    parser = configparser.ConfigParser(strict=False, interpolation=None)  # DeviceAllow may be there several times
    parser.optionxform = str  # type: ignore[assignment,method-assign]
    parser.read(UNIT, encoding="utf-8")
    return parser["Service"]


def readme() -> str:
    return (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_unit_starts_a_command_that_exists() -> None:
    program, shop, folder, command = shlex.split(service()["ExecStart"])
    scripts = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["scripts"]
    assert Path(program).name in scripts
    assert shop in {option for each in main.params for option in each.opts}
    assert command in main.commands
    assert folder == f"/var/lib/{service()['StateDirectory']}"


def test_the_readme_puts_the_program_where_the_unit_looks_for_it() -> None:
    program = Path(shlex.split(service()["ExecStart"])[0])
    lines = "\n".join(shell_lines(readme()))
    assert f"{program.parent}/pip install" in lines
    assert ".deploy/piecewalk.service" in lines
    assert f"useradd --system {service()['User']}" in lines


def test_the_unit_may_reach_scanners_and_starts_again_after_a_failure() -> None:
    assert {"dialout", "input"} <= set(service()["SupplementaryGroups"].split())
    assert service()["Restart"] == "on-failure"


def test_systemd_finds_nothing_wrong_with_the_unit(tmp_path: Path) -> None:
    if shutil.which("systemd-analyze") is None:
        pytest.skip("the unit was NOT verified: there is no systemd-analyze")
    copy = tmp_path / UNIT.name
    program = shlex.split(service()["ExecStart"])[0]
    here = UNIT.read_text(encoding="utf-8").replace(program, sys.executable)  # it must exist to be verified
    copy.write_text(here, encoding="utf-8")
    verified = subprocess.run(
        ["systemd-analyze", "verify", str(copy)], capture_output=True, text=True, check=False, timeout=60
    )
    about_it = [line for line in verified.stderr.splitlines() if UNIT.name in line]
    assert about_it == []
    assert verified.returncode == 0, verified.stderr


def test_everything_that_is_packaged_is_copied_into_the_container() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    wheel = project["tool"]["hatch"]["build"]["targets"]["wheel"]
    lines = CONTAINER.read_text(encoding="utf-8").splitlines()
    copies = [line.split()[1:-1] for line in lines if line.startswith("COPY")]
    assert {"pyproject.toml", "README.md", "LICENSE", ".deploy/requirements.lock", *wheel["packages"]} == {
        name for each in copies for name in each
    }


def test_the_container_is_installed_and_run_as_the_readme_says() -> None:
    lines = CONTAINER.read_text(encoding="utf-8").splitlines()
    [install] = [line.removeprefix("RUN ") for line in lines if "pip install" in line]
    assert "--require-hashes -r .deploy/requirements.lock" in install
    assert install in [line.replace("/opt/piecewalk/", "") for line in shell_lines(readme())]
    [command] = [line.removeprefix("CMD ") for line in lines if line.startswith("CMD ")]
    assert any(line.startswith("piecewalk run") for line in shell_lines(readme()))
    assert command == '["piecewalk", "run"]'
    assert "-f .deploy/Containerfile" in "\n".join(shell_lines(readme()))
