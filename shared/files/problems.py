"""Problems of the files that people write: where, what was found, what is allowed, what to do.

Never stops at the first: a file is read once and mended once.
"""

import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from copy import deepcopy
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

from msgspec import Struct
from msgspec.structs import replace
from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails, PydanticCustomError

from shared.files.allowed import allowed, example
from shared.files.depth import DEPTH_MAX, too_deep
from shared.files.near import nearest
from shared.files.tomltext import one_line, shown_key, shown_path, shown_text, shown_value, written
from shared.files.wanted import Wanted, keys_of, wanted

FILE_BYTES_MAX = 1_000_000
"""A longer file was not written by a person; it is refused unread."""
TOML_LINE = 'a line of TOML, such as key = "text" or key = 5'
NEWLINE = b"\n"
KEY_MARK = "[key]"
"""What pydantic puts at the end of a location when it is the key of an entry that is wrong."""
M = TypeVar("M", bound=BaseModel)
OUR_TYPES = ("value_error", "assertion_error")
"""Raised by a validator: the annotation alone does not tell what would be right."""


class Problem(Struct, frozen=True, kw_only=True):
    """One thing that is wrong: where it stands, what was found there, what is allowed, what to do about it."""

    where: str
    """File and key path: "shop.toml: steps.cure.min_s"."""
    found: str
    allowed: str
    do: str

    def line(self) -> str:
        """The problem as one line that no terminal acts upon."""
        return one_line(f"{self.where}: found {self.found}, allowed {self.allowed}. {self.do}".rstrip())


class ProblemsFound(Exception):
    """A file cannot be used; every problem of it is in `problems`."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = list(problems)
        super().__init__("\n".join(problem.line() for problem in self.problems))


def refuse(*, allowed: str, do: Mapping[str, Any]) -> PydanticCustomError:
    """What a validator of ours raises: what is allowed, and a key with a right value to write instead."""
    return PydanticCustomError("refused", "{allowed}", {"allowed": allowed, "do": do})


def problems_of(error: ValidationError, file: str, model: type[BaseModel]) -> list[Problem]:
    """Every problem that pydantic found when it checked a file's data against a model, in the model's order.

    A ValueError of a validator is shown as what is allowed, so its text should say that.
    """
    return list(dict.fromkeys(_problem(details, file, model) for details in error.errors(include_url=False)))


def checked(data: Mapping[str, Any], file: str, model: type[M], between: Callable[[M], Iterable[Problem]]) -> M:
    """A file's data as a model, when no value of it is wrong and `between` finds nothing wrong from one to another.

    Raises ProblemsFound with every problem; those between values are looked for as if each single one had been mended
    in the way that is proposed.
    """
    found: list[Problem] = []
    whole: M | None
    try:
        whole = model.model_validate(data)
    except ValidationError as error:
        found = problems_of(error, file, model)
        whole = _mended(data, error, model)
    told = tuple(problem.where for problem in found)
    further = between(whole) if whole is not None else ()
    found += [problem for problem in further if not problem.where.startswith(told)]
    if found or whole is None:
        raise ProblemsFound(_named(problem, file, data) for problem in found)
    return whole


def _named(problem: Problem, file: str, data: Mapping[str, Any]) -> Problem:
    """A problem of an entry that has a name, which says more to people than its number: stations[4] "press 1".holds."""
    place = re.fullmatch(r"(\w+)\[(\d+)\](?!\.name$)(.*)", problem.where.removeprefix(f"{file}: "))
    if place is None:
        return problem
    entry = data[place[1]][int(place[2])]
    name = entry.get("name") if isinstance(entry, dict) else None
    if not isinstance(name, str) or not name:
        return problem
    return replace(problem, where=f"{file}: {place[1]}[{place[2]}] {shown_text(name)}{place[3]}")


def _mended(data: Mapping[str, Any], error: ValidationError, model: type[M]) -> M | None:
    """What a file would be, had each wrong value been mended as is proposed; None where that does not mend it."""
    mended = deepcopy(dict(data))
    for details in error.errors(include_url=False):
        path, want, _ = _followed(details["loc"], wanted(model))
        with suppress(LookupError, TypeError):  # what stays wrong is found so again
            _mend(mended, path, details, want)
    try:
        return model.model_validate(mended)
    except ValidationError:
        return None


def _mend(inner: Any, path: list[str | int], details: ErrorDetails, want: Wanted) -> None:
    own = details.get("ctx", {}).get("do")
    while own and isinstance(path[-1], int):  # a proposal of ours has a key: it is of the list, not of an entry
        path = path[:-1]
    for part in path[:-1]:
        inner = inner[part]
    if details["type"] == "extra_forbidden":
        del inner[path[-1]]
        return
    [right] = own.values() if own else [example(want, details["input"])]
    if right is not None:
        inner[path[-1]] = right


def read_toml(path: Path) -> dict[str, Any]:
    """The data of a TOML file. Raises ProblemsFound for a file that cannot be read and for what is no TOML."""
    try:
        with path.open("rb") as file:
            data = file.read(FILE_BYTES_MAX + 1)
    except FileNotFoundError:
        raise _unreadable(path, "no such file", "Check the name and the folder") from None
    except IsADirectoryError:
        raise _unreadable(path, "a folder", "Name the file in it") from None
    except (OSError, ValueError) as error:  # a name with a NUL in it is a ValueError
        reason = getattr(error, "strerror", None) or str(error)
        raise _unreadable(path, f"a file that cannot be read: {reason}", "Check its permissions") from None
    return parse_toml(data, path.name)


def parse_toml(data: bytes, file: str) -> dict[str, Any]:
    """The data of a TOML text. Raises ProblemsFound with the line and the column of what is no TOML."""
    if len(data) > FILE_BYTES_MAX:
        raise _broken(file, f"more than {FILE_BYTES_MAX} bytes", "a file that a person wrote", "Check the name")
    try:
        text = data.decode("utf-8-sig")  # some editors put a byte order mark in front
        _refuse_depth(text, file)
        return tomllib.loads(text)
    except UnicodeDecodeError as error:
        where = f"{file}: line {1 + data[: error.start].count(NEWLINE)}"
        found = f"the byte {data[error.start]:#04x}"
        raise _broken(where, found, "text in UTF-8", "Save the file again, with the encoding UTF-8") from None
    except tomllib.TOMLDecodeError as error:
        raise _syntax(str(error), data.decode("utf-8-sig"), file) from None
    except ValueError:  # Python reads no number of more than some thousand digits
        raise _broken(file, "a number with thousands of digits", "a number of a few digits", "Mend it") from None


def _refuse_depth(text: str, file: str) -> None:
    deep = too_deep(text)
    if deep is not None:
        line, depth = deep
        found = f"{depth} or more levels within each other"
        raise _broken(f"{file}: line {line}", found, f"at most {DEPTH_MAX} levels", "Take brackets or dots out")


def _unreadable(path: Path, found: str, do: str) -> ProblemsFound:
    return _broken(str(path), found, "a TOML file", do)


def _broken(where: str, found: str, allowed: str, do: str) -> ProblemsFound:
    return ProblemsFound([Problem(where=where, found=found, allowed=allowed, do=do)])


def _syntax(error: str, text: str, file: str) -> ProblemsFound:
    lines = text.split("\n")
    what, place = error.rsplit(" (at ", 1)
    numbers = re.match(r"line (\d+), (column \d+)", place)
    line, spot = (int(numbers[1]), numbers[2]) if numbers else (1 + text.rstrip().count("\n"), "at its end")
    return _broken(f"{file}: line {line}, {spot}", shown_text(lines[line - 1].strip()), TOML_LINE, what)


def _problem(details: ErrorDetails, file: str, model: type[BaseModel]) -> Problem:
    path, want, table = _followed(details["loc"], wanted(model))
    where = f"{file}: {shown_path(path)}" if path else file
    if details["type"] == "extra_forbidden":
        return _unknown_key(where, str(path[-1]), details["input"], table)
    return Problem(
        where=where,
        found=_found(details),
        allowed=_own_words(details) or (details["msg"] if want.kind == "other" else allowed(want)),
        do=_do(details, path, want),
    )


def _followed(loc: tuple[str | int, ...], want: Wanted) -> tuple[list[str | int], Wanted, Wanted]:
    """The key path of pydantic's location, without its labels; what is wanted there, and the table it is in."""
    path: list[str | int] = []
    table = want
    for n, part in enumerate(loc, start=1):
        if want.kind == "either":
            want = want if n == len(loc) else want.branch(str(part))
        elif part == KEY_MARK and n == len(loc) and table.parts:
            want = table.parts[0]
        else:
            table, want = want, want.step(part)
            path.append(part)
    return path, want, table


def _unknown_key(where: str, key: str, value: Any, table: Wanted) -> Problem:
    keys = keys_of(table.model) if table.model else []
    near = nearest(key, keys)
    scalar = f" = {shown_value(value)}" if isinstance(value, str | int | float | date) else ""
    return Problem(
        where=where,
        found="an unknown key",
        allowed=f"the keys {', '.join(keys)}",
        do=f"Write: {near}{scalar}" if near else "Use one of those, or take it out",
    )


def _found(details: ErrorDetails) -> str:
    if details["type"] == "missing" or details["input"] is None:
        return "nothing"
    if details["type"] == "too_long":
        return f"{len(details['input'])} entries"
    return shown_value(details["input"])


def _own_words(details: ErrorDetails) -> str:
    """What a validator of ours says is allowed; nothing where pydantic refused by itself."""
    context = details.get("ctx", {})
    return str(context.get("allowed") or (context.get("error", "") if details["type"] in OUR_TYPES else ""))


def _do(details: ErrorDetails, path: list[str | int], want: Wanted) -> str:
    own = details.get("ctx", {}).get("do")
    if own:
        return "Write: " + ", ".join(f"{shown_key(key)} = {written(value)}" for key, value in own.items())
    if details["type"] == "too_long":
        return "Take some out"
    if details["loc"][-1:] == (KEY_MARK,):
        return "Give the entry another key"
    line = None if details["type"] in OUR_TYPES else _right_line(path, want, details)
    return f"Write: {line}" if line else "Mend it, or take it out"


def _right_line(path: list[str | int], want: Wanted, details: ErrorDetails) -> str | None:
    """A line that would be right there: a key with a value, or the head of a table."""
    value = example(want, None if details["type"] == "missing" else details["input"])
    keys = [part for part in path if isinstance(part, str)]
    if value is None:
        return _head(path, keys, want) if keys else None
    return written(value) if isinstance(path[-1], int) else f"{shown_key(keys[-1])} = {written(value)}"


def _head(path: list[str | int], keys: list[str], want: Wanted) -> str | None:
    """The head of a table: [shop], [[stations]], [items."…"]; nothing where no table belongs."""
    inner = want.parts[-1] if want.parts else want
    if want.kind == "list":
        return f"[[{shown_path(keys)}]]" if inner.model else None
    if want.kind != "table":
        return None
    head = shown_path(keys if want.model else [*keys, "…"])
    return f"[[{head}]]" if isinstance(path[-1], int) or inner.kind == "list" else f"[{head}]"
