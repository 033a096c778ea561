"""The lock from which the floor is installed, against what the project asks for."""

import re
import tomllib

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.lock import EXTRAS, HOUSE, LOCK

pytestmark = pytest.mark.skipif(not LOCK.exists(), reason="a copy without .deploy, such as a source distribution")
PIN = re.compile(r"^([\w.-]+)==([\w.!+]+)(?: ; .+)? \\\n((?:    --hash=sha256:[0-9a-f]{64}(?: \\)?\n)+)", re.MULTILINE)


def pins() -> dict[str, list[str]]:
    """The versions of each package: several where they depend on the machine."""
    locked: dict[str, list[str]] = {}
    for name, version, _ in PIN.findall(LOCK.read_text(encoding="utf-8")):
        locked.setdefault(canonicalize_name(name), []).append(version)
    return locked


def asked() -> list[Requirement]:
    project = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))
    extras = [each for extra in EXTRAS for each in project["project"]["optional-dependencies"][extra]]
    return [
        Requirement(each)
        for each in (*project["project"]["dependencies"], *extras, *project["build-system"]["requires"])
    ]


@pytest.mark.parametrize("requirement", asked(), ids=str)
def test_the_lock_has_what_the_project_asks_for(requirement: Requirement) -> None:
    versions = pins()[canonicalize_name(requirement.name)]
    assert all(requirement.specifier.contains(version) for version in versions)


def test_every_package_has_its_hashes_and_none_the_host_of_a_registry() -> None:
    text = LOCK.read_text(encoding="utf-8")
    assert PIN.sub("", text) == ""
    assert "://" not in text
