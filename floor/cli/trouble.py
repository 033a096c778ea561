"""What is told to a person, or a script, when something could not be done.

Never shows a stack trace for a person's mistake.
"""

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from typing import Any, NoReturn, ParamSpec, TypeVar

import click
import msgspec

from floor.ledger import LedgerError
from shared.files.problems import Problem, ProblemsFound
from shared.files.tomltext import one_line
from shared.wish import NotPossible

P = ParamSpec("P")
R = TypeVar("R")

NOT_DONE = 1


class NotDone(Exception):
    """A command could not do what it was asked to: what, and what to do."""

    def __init__(self, what: str, *, found: str = "", allowed: str = "", do: str = "", where: str = "") -> None:
        super().__init__(what)
        self.problem = Problem(where=where or what, found=found, allowed=allowed, do=do)
        self.what = what

    def line(self) -> str:
        """The whole of it in one line."""
        return " ".join(part for part in (f"{self.what}.", self.problem.do) if part).replace("..", ".")


def as_error(problem: Problem, what: str) -> dict[str, str]:
    """A problem as `--json` answers it."""
    return {
        "what": what,
        "where": problem.where,
        "found": problem.found,
        "allowed": problem.allowed,
        "do": problem.do,
    }


@contextmanager
def told(as_json: bool) -> Iterator[None]:
    """Whatever goes wrong inside ends the command with status 1 and a line for a person, or JSON for a script."""
    try:
        yield
    except ProblemsFound as error:
        lines = [problem.line() for problem in error.problems]
        _end(as_json, lines, [as_error(problem, problem.line()) for problem in error.problems])
    except NotDone as error:
        _end(as_json, [error.line()], [as_error(error.problem, error.what)])
    except BrokenPipeError:  # nobody reads on: click ends quietly
        raise
    except OSError as error:
        file = error.filename or "A file"
        problem = NotDone(f"{file}: {error.strerror or error}", do="See that the folder exists and may be written to.")
        _end(as_json, [problem.line()], [as_error(problem.problem, problem.what)])
    except (NotPossible, LedgerError, ValueError) as error:
        _end(as_json, [str(error)], [as_error(Problem(where="", found="", allowed="", do=""), str(error))])


def _end(as_json: bool, lines: list[str], errors: list[dict[str, str]]) -> NoReturn:
    if as_json:
        say_json({"error": errors[0], "errors": errors})
    for line in lines:
        click.echo(one_line(line), err=True)
    sys.exit(NOT_DONE)


def answers(command: Callable[P, R]) -> Callable[P, R]:
    """A command that takes `--json`, and tells its troubles in the way that was asked for."""

    @click.option("--json", "as_json", is_flag=True, help="Answer as JSON, for scripts.")
    @wraps(command)
    def wrapped(*args: P.args, **kwargs: P.kwargs) -> R:
        with told(bool(kwargs.get("as_json"))):
            return command(*args, **kwargs)

    return wrapped


def told_plainly(command: Callable[P, R]) -> Callable[P, R]:
    """A command that has no answer of its own, only troubles."""

    @wraps(command)
    def wrapped(*args: P.args, **kwargs: P.kwargs) -> R:
        with told(as_json=False):
            return command(*args, **kwargs)

    return wrapped


def say_json(answer: Any) -> None:
    """One JSON document on a line of standard output: moments as RFC 3339, decimals as strings.

    Text is as it was written, whatever it holds; what a terminal would act upon is escaped in JSON's own way.
    """
    document = json.dumps(msgspec.to_builtins(answer), ensure_ascii=False)
    if not document.isprintable():
        document = "".join(char if char.isprintable() else json.dumps(char)[1:-1] for char in document)
    click.echo(document)
