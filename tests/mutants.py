"""Change the code at random places and see whether its tests notice: python -m tests.mutants [--seed N] [--package P]

Never touches the tree it is called in: mutants live in a copy.
"""

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from msgspec import Struct

HOUSE = Path(__file__).parent.parent
SKIPPED = shutil.ignore_patterns(".*", "__pycache__", "*.egg-info")
LONGEST_S = 600
"""Tests that take longer met an endless loop: the mutant was noticed."""
SWAPPED: dict[type[ast.AST], type[ast.AST]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.And: ast.Or,
    ast.Or: ast.And,
}


class Mutant(Struct, frozen=True):
    """One change of one file; `source` is the whole file with it."""

    file: Path
    line: int
    change: str
    source: str


def replacements(node: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    """What may stand for a node, and what kind of change that is."""
    match node:
        case ast.BinOp(left=left, op=op, right=right):
            yield from (("dropped operand", left), ("dropped operand", right))
            if type(op) in SWAPPED:
                yield "operator", ast.BinOp(left, SWAPPED[type(op)](), right)  # type: ignore[arg-type]
        case ast.BoolOp(op=op, values=[first, *rest]):
            yield "operator", ast.BoolOp(SWAPPED[type(op)](), [first, *rest])  # type: ignore[arg-type]
            yield from (
                ("dropped operand", ast.BoolOp(op, [v for v in node.values if v is not w])) for w in node.values
            )
        case ast.Compare(left=left, ops=[op, *ops], comparators=right) if type(op) in SWAPPED:
            yield "operator", ast.Compare(left, [SWAPPED[type(op)](), *ops], right)  # type: ignore[list-item]
        case ast.Constant(value=bool(value)):
            yield "constant", ast.Constant(not value)
        case ast.Constant(value=int(value) | float(value)):
            yield "constant", ast.Constant(value + 1)
        case ast.UnaryOp(op=ast.Not() | ast.USub(), operand=operand):
            yield "negation", operand
        case ast.If(test=test, body=body, orelse=orelse):
            yield "negation", ast.If(ast.UnaryOp(ast.Not(), test), body, orelse)
        case ast.Call(func=func, args=[ast.expr() as first, ast.expr() as second, *rest], keywords=keywords):
            yield "swapped arguments", ast.Call(func, [second, first, *rest], keywords)
        case ast.Return(value=ast.expr()):
            yield "return None", ast.Return(ast.Constant(None))
        case ast.AugAssign() | ast.Expr(value=ast.Call()):
            yield "removed statement", ast.Pass()


def places(tree: ast.AST) -> Iterator[tuple[ast.AST, str, int | None]]:
    """Every node below a tree with what holds it: the parent, its field, and its place in it where that is a list."""
    for parent in ast.walk(tree):
        for name, value in ast.iter_fields(parent):
            if isinstance(value, list):
                yield from ((parent, name, n) for n, each in enumerate(value) if isinstance(each, ast.AST))
            elif isinstance(value, ast.AST):
                yield parent, name, None


def mutants_of(file: Path, text: str) -> Iterator[Mutant]:
    """Every mutant of a file."""
    tree = ast.parse(text)
    for parent, name, n in list(places(tree)):
        held = getattr(parent, name)
        node = held if n is None else held[n]
        for change, other in list(replacements(node)):
            _put(parent, name, n, other)
            yield Mutant(file, getattr(node, "lineno", 0), change, ast.unparse(ast.fix_missing_locations(tree)))
            _put(parent, name, n, node)


def _put(parent: ast.AST, name: str, n: int | None, node: ast.AST) -> None:
    if n is None:
        setattr(parent, name, node)
    else:
        getattr(parent, name)[n] = node


def fitting_tests(house: Path, file: Path) -> Path:
    """The folder of tests that mirrors a file's folder, or the nearest one above it."""
    folder = Path("tests", file.parent)
    return next(each for each in (folder, *folder.parents) if (house / each).is_dir())


def sample(house: Path, package: str, count: int, seed: int) -> list[Mutant]:
    """So many mutants of a package, each file as likely as it is long."""
    files = sorted(path.relative_to(house) for path in (house / package).rglob("*.py"))
    if not files:
        raise SystemExit(f"--package {package}: there is no such package here. Name a folder, such as floor/core/cost.")
    rng = random.Random(seed)
    lines = [len((house / file).read_text(encoding="utf-8").splitlines()) for file in files]
    chosen: dict[tuple[Path, str], Mutant] = {}
    for file in rng.choices(files, weights=lines, k=10 * count):
        every = list(mutants_of(file, (house / file).read_text(encoding="utf-8")))
        if every and len(chosen) < count:
            mutant = rng.choice(every)
            chosen[mutant.file, mutant.source] = mutant
    return list(chosen.values())


def survives(copy: Path, mutant: Mutant) -> bool:
    """Whether the tests of a copy of the tree pass with a mutant in it; the copy is as before afterwards."""
    target = copy / mutant.file
    before = target.read_text(encoding="utf-8")
    target.write_text(mutant.source, encoding="utf-8")
    try:
        return passes(copy, fitting_tests(copy, mutant.file))
    finally:
        target.write_text(before, encoding="utf-8")


def passes(copy: Path, tests: Path) -> bool:
    """Whether tests pass in a copy of the tree."""
    words = [sys.executable, "-B", "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", str(tests)]
    env = {**os.environ, "PYTHONPATH": str(copy)}
    try:
        ran = subprocess.run(words, check=False, cwd=copy, env=env, capture_output=True, timeout=LONGEST_S)
    except subprocess.TimeoutExpired:
        return False
    return ran.returncode == 0


def main() -> None:
    """Sample, run, and print score and survivors."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--package", default="floor/core/cost", help="a folder, such as floor/cost")
    words.add_argument("--count", type=int, default=20)
    asked = words.parse_args()
    with TemporaryDirectory() as folder:
        copy = Path(folder, "copy")
        shutil.copytree(HOUSE, copy, ignore=SKIPPED)
        mutants = sample(copy, asked.package, asked.count, asked.seed)
        for tests in sorted({fitting_tests(copy, mutant.file) for mutant in mutants}):
            if not passes(copy, tests):
                raise SystemExit(f"{tests}: its tests fail without any mutant. Mend them first.")
        alive = [mutant for mutant in mutants if survives(copy, mutant)]
    killed = len(mutants) - len(alive)
    print(f"{killed} of {len(mutants)} killed ({killed / max(len(mutants), 1):.0%}), seed {asked.seed}")
    for mutant in alive:
        print(f"  {mutant.file}:{mutant.line}: {mutant.change}")


if __name__ == "__main__":
    main()
