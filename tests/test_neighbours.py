"""Tests run beside each other, and one that must be alone does not."""

import fcntl
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from queue import Queue
from threading import Thread

import pytest

from tests.measured import WAIT_S
from tests.neighbours import Machine

A_MOMENT_S = 0.05
Other = Callable[[str, bool], Thread]


@pytest.fixture
def machine(tmp_path: Path) -> Iterator[Machine]:
    with closing(Machine(tmp_path)) as machine:
        yield machine


@pytest.fixture
def said() -> "Queue[str]":
    """Who has used the machine, in order."""
    return Queue()


@pytest.fixture
def other(tmp_path: Path, said: "Queue[str]") -> Other:
    """Another worker, who wants to use the machine and is given a moment to."""

    def use(name: str, alone: bool) -> None:
        with closing(Machine(tmp_path)) as machine, machine.used(alone=alone):
            said.put(name)

    def start(name: str, alone: bool) -> Thread:
        thread = Thread(target=use, args=(name, alone), daemon=True)
        thread.start()
        thread.join(A_MOMENT_S)
        return thread

    return start


def test_two_tests_run_beside_each_other(machine: Machine, other: Other, said: "Queue[str]") -> None:
    with machine.used(alone=False):
        other("beside", False)
        assert said.get(timeout=WAIT_S) == "beside"


@pytest.mark.parametrize(("mine", "others"), [(True, False), (False, True), (True, True)])
def test_one_that_must_be_alone_waits_and_is_waited_for(
    machine: Machine, other: Other, said: "Queue[str]", mine: bool, others: bool
) -> None:
    with machine.used(alone=mine):
        other("after", others)
        assert said.empty()
    assert said.get(timeout=WAIT_S) == "after"


def test_who_waits_to_be_alone_is_not_overtaken(
    machine: Machine, other: Other, said: "Queue[str]", tmp_path: Path
) -> None:
    with machine.used(alone=False):
        other("alone", True)
        while door_is_open(tmp_path):
            pass
        other("late", False)
        assert said.empty()
    assert [said.get(timeout=WAIT_S) for _ in range(2)] == ["alone", "late"]


def door_is_open(folder: Path) -> bool:
    with (folder / "door.lock").open() as door:
        try:
            fcntl.flock(door, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True
