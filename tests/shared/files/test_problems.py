"""What a shop owner is told about a file that cannot be used."""

import tomllib
from collections.abc import Iterator
from datetime import date, datetime, time
from decimal import Decimal
from pathlib import Path
from typing import Annotated, Any, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError, model_validator

from shared.files.problems import FILE_BYTES_MAX, Problem, ProblemsFound, parse_toml, problems_of, read_toml, refuse


def _odd(number: int) -> int:
    if number % 2 == 0:
        raise ValueError("an odd number")
    return number


class Strict(BaseModel):
    model_config = ConfigDict(extra="forbid")


class Printed(Strict):
    place: Literal["front", "back", "left sleeve"] = "front"
    width_mm: Annotated[Decimal, Field(gt=0, le=3000)]


class OrderLine(Strict):
    design: Annotated[str, Field(min_length=1, max_length=40)]
    sizes: Annotated[dict[Annotated[str, Field(min_length=1)], Annotated[int, Field(ge=1)]], Field(min_length=1)]
    prints: Annotated[list[Printed], Field(min_length=1, max_length=3)]


class Numbers(Strict):
    min_s: Annotated[float, Field(ge=0, le=86_400)] = 180
    share: Annotated[Decimal, Field(ge=0, lt=1)] | None = None
    passes: Annotated[int, Field(ge=1, le=20)] = 1
    price_per_ml: Annotated[Decimal, Field(ge=0)] = Decimal("0.21")
    odd: Annotated[int, AfterValidator(_odd)] = 1
    answers: bool = False
    stations: list[str] = []
    dpi: tuple[int, int] = (600, 600)
    due: datetime | None = None
    closed: date | None = None
    opens: time | None = None
    scans: Literal["out", "in_out"] = "in_out"
    name: Annotated[str, Field(min_length=1, max_length=120)] = "cure"
    settings: dict[str, str | int | float] = {}


class Dwell(Numbers):
    @model_validator(mode="after")
    def _no_early_opening(self) -> "Dwell":
        if self.min_s == 0:
            raise refuse(allowed="a least time above 0 for a dwell", do={"min_s": 180})
        return self


class Order(Strict):
    customer: str
    lines: list[OrderLine] = []
    steps: dict[str, Dwell] = {}
    either: Dwell | int | None = None


def problems(data: Any, model: type[BaseModel] = Order) -> list[Problem]:
    try:
        model.model_validate(data)
    except ValidationError as error:
        return problems_of(error, "job.toml", model)
    return []


def only(data: Any, model: type[BaseModel] = Order) -> str:
    (problem,) = problems(data, model)
    return problem.line()


def cure(**table: Any) -> str:
    return only({"customer": "A", "steps": {"cure": table}}).removeprefix("job.toml: steps.cure")


# The line


def test_a_problem_is_one_line_of_where_what_why_and_what_to_do() -> None:
    assert cure(min_s="6m") == '.min_s: found "6m", allowed a number of seconds from 0 to 86400. Write: min_s = 360'


def test_every_problem_of_a_file_is_told_at_once() -> None:
    data = {"lines": [{"design": "", "sizes": {}, "prints": []}], "steps": {"cure": {"passes": 0, "dpi": "x"}}}
    assert {problem.where for problem in problems(data)} == {
        "job.toml: customer",
        "job.toml: lines[0].design",
        "job.toml: lines[0].sizes",
        "job.toml: lines[0].prints",
        "job.toml: steps.cure.passes",
        "job.toml: steps.cure.dpi",
    }


def test_a_place_in_a_list_has_its_number() -> None:
    line = {"design": "oars", "sizes": {"M": 1}, "prints": [{"width_mm": 1}, {"width_mm": 0}]}
    assert only({"customer": "A", "lines": [line, line | {"prints": [{"width_mm": 1}]}]}).startswith(
        "job.toml: lines[0].prints[1].width_mm: found 0, allowed a number of millimetres, above 0, at most 3000."
    )


def test_a_key_that_needs_quotes_has_them() -> None:
    assert only({"customer": "A", "steps": {"heavy tee": 5}}).startswith('job.toml: steps."heavy tee": found 5')


def test_a_missing_key_is_said_to_be_missing() -> None:
    assert only({}) == 'job.toml: customer: found nothing, allowed text. Write: customer = "…"'


def test_a_missing_table_is_asked_for_by_its_head() -> None:
    class Shop(Strict):
        shop: Dwell
        items: dict[str, Dwell]
        stations: list[Dwell]
        routes: dict[str, list[Dwell]]

    assert [problem.do for problem in problems({}, Shop)] == [
        "Write: [shop]",
        'Write: [items."…"]',
        "Write: [[stations]]",
        'Write: [[routes."…"]]',
    ]


def test_a_file_that_is_no_table_is_a_problem_of_the_whole_file() -> None:
    assert only([1]).startswith("job.toml: found [1], allowed a table with the keys customer, ")


# Unknown keys


def test_a_misspelt_key_gets_the_nearest_right_one_with_its_value() -> None:
    assert cure(mins=180).startswith(".mins: found an unknown key, allowed the keys min_s, share, ")
    assert cure(mins=180).endswith(". Write: min_s = 180")


def test_the_nearest_key_is_sought_at_the_level_of_the_mistake() -> None:
    line = {"design": "oars", "sizes": {"M": 1}, "prints": [{"width_mm": 1, "plaice": "back"}]}
    assert only({"customer": "A", "lines": [line]}).endswith('Write: place = "back"')


def test_a_key_like_no_other_is_to_be_taken_out() -> None:
    assert cure(zzz=1).endswith("Use one of those, or take it out")


# What is allowed


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("price_per_ml", "-18.00", 'found "-18.00", allowed a number, at least 0. Write: price_per_ml = 18'),
        ("min_s", -1, "found -1, allowed a number of seconds from 0 to 86400. Write: min_s = 180"),
        ("min_s", float("nan"), "found nan, allowed a number of seconds from 0 to 86400. Write: min_s = 180"),
        ("share", 3, "found 3, allowed a number, at least 0, below 1. Write: share = 0.03"),
        ("passes", 2.5, "found 2.5, allowed a whole number from 1 to 20. Write: passes = 2"),
        ("price_per_ml", "21 ct", 'found "21 ct", allowed a number, at least 0. Write: price_per_ml = 21'),
        ("answers", "nope", 'found "nope", allowed true or false. Write: answers = true'),
        ("stations", "press 1", 'found "press 1", allowed a list, each text. Write: stations = ["press 1"]'),
        ("scans", "in-out", 'found "in-out", allowed "out" or "in_out". Write: scans = "in_out"'),
        ("due", "soon", 'found "soon", allowed a date and time. Write: due = 2026-12-02T16:00:00'),
        ("closed", "Xmas", 'found "Xmas", allowed a date. Write: closed = 2026-12-02'),
        ("name", 5, 'found 5, allowed text, not empty, at most 120 characters. Write: name = "cure"'),
        ("odd", 2, "found 2, allowed an odd number. Mend it, or take it out"),
    ],
)
def test_what_is_allowed_is_said_in_plain_words(key: str, value: Any, told: str) -> None:
    assert cure(**{key: value}) == f".{key}: {told}"


def test_a_list_of_a_fixed_length_says_what_its_entries_are() -> None:
    assert "allowed a list of 2: a whole number, a whole number. Write: dpi = [" in cure(dpi=600)
    assert cure(dpi=[600]).startswith(".dpi[1]: found nothing, allowed a whole number")


def test_a_choice_of_types_is_one_problem() -> None:
    assert cure(settings={"cover": [1]}).startswith(
        ".settings.cover: found [1], allowed text or a whole number or a number."
    )


def test_inside_a_choice_the_path_has_no_labels() -> None:
    found = problems({"customer": "A", "either": {"passes": 0}})
    assert "job.toml: either.passes" in [problem.where for problem in found]


def test_too_many_entries_are_counted() -> None:
    line = {"design": "oars", "sizes": {"M": 1}, "prints": [{"width_mm": 1}] * 4}
    assert ".prints: found 4 entries, allowed a list of 1 or more, at most 3, each " in only(
        {"customer": "A", "lines": [line]}
    )


def test_an_entry_with_a_key_that_is_not_allowed_is_named() -> None:
    line = {"design": "oars", "sizes": {"": 1}, "prints": [{"width_mm": 1}]}
    assert only({"customer": "A", "lines": [line]}) == (
        'job.toml: lines[0].sizes."": found "", allowed text, not empty. Give the entry another key'
    )


def test_our_own_validators_say_what_is_allowed_and_what_to_write() -> None:
    assert cure(min_s=0) == ": found { min_s = 0 }, allowed a least time above 0 for a dwell. Write: min_s = 180"


# What was found


def test_what_was_found_is_cut_short() -> None:
    assert len(cure(passes="x" * 10_000)) < 200
    assert len(cure(passes=list(range(10_000)))) < 200
    assert len(cure(passes=1 << 100_000)) < 200


def test_nothing_that_was_found_drives_a_terminal() -> None:
    line = cure(passes="\x1b[2J\r\n\u202e\x9b\u2028")
    assert line.isprintable()
    assert "\\u001b[2J" in line


def test_a_line_is_harmless_whoever_made_the_problem() -> None:
    problem = Problem(where="a\x1b", found="b\n", allowed="c\u202e", do="d\x07")
    assert problem.line().isprintable()


def test_the_exception_carries_every_problem_and_reads_as_their_lines() -> None:
    found = problems({"customer": 5, "lines": 5})
    assert str(ProblemsFound(found)).splitlines() == [problem.line() for problem in found]


# Whatever stands in a file

scalars = (
    st.text(max_size=8)
    | st.integers()
    | st.integers(20_000, 20_010).map(lambda bits: 1 << bits)  # TOML has them in hexadecimal, Python writes none out
    | st.floats()
    | st.booleans()
    | st.dates()
    | st.datetimes()
    | st.times()
    | st.sampled_from(["6m", "3 min", "2 h", "1,5", "12.50 USD", "in-out", "yes", "", "front"])
)
toml_values = st.recursive(
    scalars, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3)
)
RIGHT: dict[str, Any] = {
    "customer": "A",
    "lines": [{"design": "oars", "sizes": {"M": 4}, "prints": [{"place": "front", "width_mm": 300}]}],
    "steps": {"cure": {"min_s": 180, "settings": {"cover": "parchment", "degrees": 165}, "dpi": [600, 600]}},
}


def places(value: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    yield path
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, each in inner:
        yield from places(each, (*path, key))


def replaced(value: Any, path: tuple[str | int, ...], new: Any) -> Any:
    if not path:
        return new
    copy = value.copy()
    copy[path[0]] = replaced(value[path[0]], path[1:], new)
    return copy


def assert_printable(found: list[Problem]) -> None:
    assert all(problem.line().isprintable() for problem in found)


@given(toml_values)
def test_any_data_is_right_or_has_problems_that_fit_on_a_line_each(data: Any) -> None:
    found = problems(data)
    assert_printable(found)
    assert all(problem.where.startswith("job.toml") for problem in found)


def shown(path: tuple[str | int, ...]) -> str:
    return "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in path)


@given(st.sampled_from(list(places(RIGHT))), toml_values)
def test_whatever_is_put_in_a_right_file_the_problems_are_about_that_place_or_its_table(
    path: tuple[str | int, ...], new: Any
) -> None:
    for problem in problems(replaced(RIGHT, path, new)):
        where = problem.where.removeprefix("job.toml").replace(": ", ".", 1)
        assert where.startswith(shown(path)) or where == shown(path[:-1])
        assert problem.allowed
        assert problem.do


SINGLE = [name for name in Numbers.model_fields if name not in ("odd", "settings")]


@given(st.sampled_from(SINGLE), toml_values)
def test_what_we_say_to_write_is_right(key: str, wrong: Any) -> None:
    for problem in problems({key: wrong}, Numbers):
        what, _, line = problem.do.partition(": ")
        if what == "Write":
            entries = ", ".join([line] * (2 if key == "dpi" else 1))
            written = tomllib.loads(line if " = " in line else f"{key} = [{entries}]")
            assert problems(written, Numbers) == []
        else:
            assert (key, what) == ("dpi", "Take some out")


# Reading a file


def told(data: bytes) -> str:
    with pytest.raises(ProblemsFound) as caught:
        parse_toml(data, "shop.toml")
    return str(caught.value)


def test_a_toml_file_is_read(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text('name = "Möwe"\n', encoding="utf-8")
    assert read_toml(path) == {"name": "Möwe"}


def test_a_byte_order_mark_does_no_harm() -> None:
    assert parse_toml(b"\xef\xbb\xbfa = 1\r\n", "shop.toml") == {"a": 1}


def test_what_is_no_toml_is_shown_with_its_line_and_column() -> None:
    assert told(b'name = "A"\nmin_s 180\n') == (
        'shop.toml: line 2, column 7: found "min_s 180", allowed a line of TOML, such as key = "text" or key = 5. '
        "Expected '=' after a key in a key/value pair"
    )


def test_a_file_that_breaks_off_is_told_of_its_last_line() -> None:
    assert told(b"a = 1\nb = [1,\n").startswith(
        'shop.toml: line 2, at its end: found "b = [1,", allowed a line of TOML'
    )


def test_an_empty_value_at_the_end_is_told_of() -> None:
    assert 'found "a =", allowed' in told(b"a =")


def test_a_file_in_another_encoding_is_told_to_be_saved_as_utf_8() -> None:
    assert told("a = 1\nname = 'Möwe'".encode("latin-1")) == (
        "shop.toml: line 2: found the byte 0xf6, allowed text in UTF-8. Save the file again, with the encoding UTF-8"
    )


def test_a_file_that_no_person_wrote_is_not_parsed() -> None:
    assert "more than" in told(b"#" * (FILE_BYTES_MAX + 1))


@pytest.mark.parametrize("data", [b"a = " + b"[" * 5000, b"a = " + b"9" * 5000, b"a.b = 1\na = 2", b"a = 1\na = 2"])
def test_what_would_upset_a_parser_is_a_problem_like_any_other(data: bytes) -> None:
    assert told(data).startswith("shop.toml")


@given(st.binary(max_size=60) | st.text(alphabet="a=\"'[]{}.#\n\\ 0-:T\x1b\u202e", max_size=60).map(str.encode))
def test_any_bytes_are_toml_or_a_problem(data: bytes) -> None:
    try:
        parse_toml(data, "shop.toml")
    except ProblemsFound as found:
        assert_printable(found.problems)


def test_a_file_that_is_not_there_is_named_in_full(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    with pytest.raises(ProblemsFound, match="found no such file") as caught:
        read_toml(path)
    assert caught.value.problems[0].where == str(path)


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    with pytest.raises(ProblemsFound, match="found a folder"):
        read_toml(tmp_path)


def test_a_name_that_no_file_can_have_is_a_problem_too() -> None:
    with pytest.raises(ProblemsFound, match="cannot be read"):
        read_toml(Path("shop\0.toml"))
