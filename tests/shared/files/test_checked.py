"""A file is checked as a whole: each value, and what one value says of another, told together."""

from collections.abc import Iterator
from typing import Annotated, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from shared.files.problems import Problem, ProblemsFound, checked, refuse


class Pair(BaseModel):
    model_config = ConfigDict(extra="forbid")

    names: list[str]
    uses: str
    count: Annotated[int, Field(ge=1)] = 1


def _points_somewhere(pair: Pair) -> Iterator[Problem]:
    if pair.uses not in pair.names:
        yield Problem(where="pair.toml: uses", found=pair.uses, allowed="one of the names", do="Choose one")


def between(data: dict[str, Any]) -> list[str]:
    try:
        checked(data, "pair.toml", Pair, _points_somewhere)
    except ProblemsFound as found:
        return [problem.where.removeprefix("pair.toml: ") for problem in found.problems]
    return []


def test_a_file_without_problems_is_its_model() -> None:
    assert checked({"names": ["a"], "uses": "a"}, "pair.toml", Pair, _points_somewhere).uses == "a"


def test_what_is_wrong_between_values_is_found_when_each_of_them_is_right() -> None:
    assert between({"names": ["a"], "uses": "b"}) == ["uses"]


def test_a_wrong_value_does_not_hide_what_is_wrong_between_others() -> None:
    assert between({"names": ["a"], "uses": "b", "count": -1, "cuont": 2}) == ["count", "cuont", "uses"]


LONG = 'a "name" with \\, a line\nand more letters than a message has room for: ' + "x" * 100


def _the_long_one(name: str) -> str:
    if name != LONG:
        raise refuse(allowed="the long name", do={"names": [LONG]})
    return name


class Proposed(Pair):
    names: list[Annotated[str, AfterValidator(_the_long_one)]]


def test_a_file_is_mended_with_the_value_that_is_proposed_not_with_what_is_shown_of_it() -> None:
    with pytest.raises(ProblemsFound) as found:
        checked({"names": ["a"], "uses": "b"}, "pair.toml", Proposed, _points_somewhere)
    assert [problem.where for problem in found.value.problems] == ["pair.toml: names[0]", "pair.toml: uses"]
    assert len(found.value.problems[0].do) < 100


def test_a_value_that_is_wrong_by_itself_is_told_once() -> None:
    assert between({"names": ["a"], "uses": 5}) == ["uses"]


@given(st.dictionaries(st.sampled_from(["names", "uses", "count", "other"]), st.integers() | st.lists(st.text())))
def test_any_file_is_checked_or_told(data: dict[str, Any]) -> None:
    assert between(data) or Pair.model_validate(data)
