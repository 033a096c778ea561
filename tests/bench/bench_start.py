"""CPU seconds of each light command, against those of `python -c "import click"` in the same run.

python -m tests.bench.bench_start
"""

import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median

from shared.clock import SystemClock
from tests.floor.cli.desk import JOB, Desk

TIMES = 7
MORE_S = 0.05
"""The aim: three times click and so much more."""
COMMANDS = ("--version", "--help", "job --help", "access list", "bench list", "job list", "lot list", "board", "check")
TYPED = ("ti", "job l", "job show J", "piece 1", "stock receive ")


def measure() -> dict[str, float]:
    """The median of CPU seconds of each, and its share of what is aimed at (at most 1)."""
    click_s = cpu_s([sys.executable, "-c", "import click"], {})
    aim_s = 3 * click_s + MORE_S
    measured = {"import click, s": click_s, "aim, s": aim_s}
    with tempfile.TemporaryDirectory() as name:
        desk = Desk(Path(name), SystemClock())
        desk("job", "add", "-", stdin=JOB)
        for words, environment in _starts(str(desk.shop)):
            spent_s = cpu_s([sys.executable, "-m", "floor.cli", *words.split()], environment)
            what = words or f"completing: {environment['COMP_WORDS'].removeprefix('piecewalk ')!r}"
            measured |= {f"{what}, s": spent_s, f"{what} / aim": spent_s / aim_s}
    return measured


def _starts(shop: str) -> list[tuple[str, dict[str, str]]]:
    """What is called, and with which environment."""
    completing = [
        {
            "_PIECEWALK_COMPLETE": "bash_complete",
            "COMP_WORDS": f"piecewalk {typed}",
            "COMP_CWORD": str(len(typed.split(" "))),
        }
        for typed in TYPED
    ]
    return [(words, {"PIECEWALK_SHOP": shop}) for words in COMMANDS] + [
        ("", {"PIECEWALK_SHOP": shop, **environment}) for environment in completing
    ]


def cpu_s(command: list[str], environment: dict[str, str]) -> float:
    """The median of the CPU seconds of a command, user and system."""
    spent_s = []
    for _ in range(TIMES):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(command, env=os.environ | environment, capture_output=True, check=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        spent_s.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return median(spent_s)


if __name__ == "__main__":
    for each, value in measure().items():
        print(f"{each:<50} {value:>8.3f}")
