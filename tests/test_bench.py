"""`python -m tests.bench` before its extra is installed."""

import runpy
import sys

import pytest


def test_without_its_extra_it_says_in_one_line_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "polars", None)  # as if it were not there
    monkeypatch.delitem(sys.modules, "tests.bench.bench_cost", raising=False)
    with pytest.raises(SystemExit) as ended:
        runpy.run_module("tests.bench", run_name="__main__")
    assert ended.value.code == (
        "python -m tests.bench: polars is missing. Install the extra: pip install -e '.[dev,bench]'"
    )
