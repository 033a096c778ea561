"""A file that lies deep within itself is refused before anything is built of it."""

import tomllib
import tracemalloc
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.files.depth import DEPTH_MAX, too_deep
from shared.files.problems import ProblemsFound, parse_toml

DEEP = {
    "a key of 20,000 dots": ".".join(["a"] * 20_000) + " = 1",
    "the head of a table of 3,000 parts": f"[{'.'.join(['a'] * 3_000)}]",
    "heads of tables, each one deeper": "\n".join(f"[{'.'.join(['a'] * n)}]" for n in range(1, 200)),
    "lists within lists": "a = " + "[" * 20_000,
    "tables within tables": "a = " + "{a = " * 8_000,
    "a dotted key within tables": "a = { b = {" + ".".join(["a"] * 19_000) + " = 1 } }",
}
PEAK_BYTES = 4_000_000
"""A hundred times as long as the longest of these files; the key of dots took 1,650,000,000."""


@pytest.mark.fault
@pytest.mark.parametrize("text", DEEP.values(), ids=DEEP)
def test_a_small_file_that_is_deep_is_refused_in_one_line_and_little_memory(text: str) -> None:
    assert len(text) <= 45_000
    tracemalloc.start()
    try:
        with pytest.raises(ProblemsFound) as refused:
            parse_toml(text.encode(), "order.toml")
        _, peak_bytes = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    [problem] = refused.value.problems
    assert problem.where.startswith("order.toml: line ")
    assert problem.allowed == f"at most {DEPTH_MAX} levels"
    assert "\n" not in problem.line()
    assert len(problem.line()) < 200
    assert peak_bytes < PEAK_BYTES


def nested(levels: int) -> str:
    return "\n# a comment\na = " + "[" * levels + "]" * levels


def test_the_line_is_told_and_what_is_just_deep_enough_is_read() -> None:
    assert too_deep(nested(DEPTH_MAX)) is None
    assert too_deep(nested(DEPTH_MAX + 1)) == (3, DEPTH_MAX + 1)
    assert too_deep('a = """\n\n"""\n' + nested(DEPTH_MAX + 1)) == (6, DEPTH_MAX + 1)


@pytest.mark.parametrize(
    "text",
    [
        'note = "' + "." * 100 + "[" * 100 + '"',
        "note = '" + "{" * 100 + "'",
        'note = """\n' + '."[\n' * 100 + '"""',
        "note = '''\n" + "'.{\n" * 100 + "'''",
        'note = "\\"' + "[" * 100 + '"',
        "# " + "[" * 100,
        "a = [" + "1.5, " * 100 + "]",
        "a = [" + "[1.5], " * 100 + "]",
        "\n".join(f"a{n} = 1.5" for n in range(100)),
        "\n".join("[[lines]]" for _ in range(100)),
    ],
)
def test_what_only_looks_deep_is_read(text: str) -> None:
    assert too_deep(text) is None
    parse_toml(text.encode(), "order.toml")


@pytest.mark.parametrize("quote", ["'", '"', "'''", '"""'])
def test_a_text_without_an_end_is_the_parsers_to_tell(quote: str) -> None:
    with pytest.raises(ProblemsFound) as refused:
        parse_toml(f"a = {quote}{'[' * 100}".encode(), "order.toml")
    assert refused.value.problems[0].found.startswith('"a = ')


def depth(value: Any) -> int:
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return 1 + max(map(depth, inner), default=0) if isinstance(value, dict | list) else 0


@given(st.text(st.sampled_from("ab.=[]{},\"'\\#\n 1"), max_size=200))
def test_nothing_that_is_read_is_deeper_than_its_brackets_and_dots_allow(text: str) -> None:
    if too_deep(text) is not None:
        return
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    assert depth(data) <= (DEPTH_MAX + 1) ** 2


@given(st.recursive(st.just("1"), lambda inner: inner.map(lambda text: f"[{text}]"), max_leaves=40), st.integers(1, 40))
def test_levels_are_counted_as_the_parser_builds_them(value: str, dots: int) -> None:
    text = f"{'.'.join(['a'] * dots)} = {value}"
    told = too_deep(text)
    levels = max(dots - 1, depth(tomllib.loads(f"a = {value}")["a"]))
    assert (told is not None) == (levels > DEPTH_MAX)
