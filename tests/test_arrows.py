"""Imports point one way, the pure files stay pure, and nobody but the clock asks what time it is."""

import ast
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent

MAY_IMPORT = {
    "shared": {"shared"},
    "tickets": {"tickets", "shared"},
    "scanners": {"scanners", "shared"},
    "floor": {"floor", "tickets", "scanners", "shared"},
    "demo_shop": {"demo_shop", "floor", "tickets", "scanners", "shared"},
}

CORE = "floor.core"
"""Everything that is decided and computed: the name of the folder is the rule."""
MAY_STAND_ALONE = {"floor", "floor.running"}
"""Modules that may lie in `floor` itself: the room, and the one place that knows all the others."""
WORLD = {
    *("alembic", "apscheduler", "click", "evdev", "filelock", "psycopg", "reportlab", "rich", "serial", "sqlalchemy"),
    *("asyncio", "concurrent", "glob", "importlib", "logging", "multiprocessing", "os", "pathlib", "queue", "random"),
    *("secrets", "select", "shutil", "signal", "socket", "sqlite3", "subprocess", "sys", "tempfile", "threading"),
    *("time", "urllib", "uuid", "sse_starlette", "starlette", "uvicorn", "xlsxwriter"),
}
# What files of shared take from the world all the same: paths of the files that people write, a lock around a clock
# that tests set, and the width of a letter on a screen.
ALLOWED_IN_SHARED = {
    "shared.clock": {"threading"},
    "shared.harmless": {"rich"},
    "shared.files.jobfile": {"pathlib"},
    "shared.files.problems": {"pathlib"},
    "shared.files.shop": {"pathlib"},
    "shared.words": {"importlib"},
}
TELLS_THE_TIME = {"now", "utcnow", "today"}
# Tests that need the computer's own clock, and what for. All else in tests is handed a clock that was set, so that it
# passes on any day and does not wait.
MAY_LOOK_AT_THE_CLOCK = {
    "tests.bench": "measures",
    "tests.measured": "holds what is quick against a stop-watch, for all tests that claim it",
    "tests.floor.test_running": "starts a floor as a process of its own, which goes by that clock",
    "tests.floor.service.test_timekeeper": "sets the floor's clock apart from the scheduler's, which is the computer's",
    "tests.shared.test_clock": "is about that clock",
}
STEP_KINDS = {"hand", "machine", "dwell"}
TOUCHES_THE_WORLD = {"open", "print", "input", "breakpoint", "eval", "exec", "__import__"}

Trees = Mapping[str, ast.Module]
"""Module names with their syntax trees."""


def trees_of(root: Path, packages: Iterable[str] = MAY_IMPORT) -> Trees:
    paths = [path for package in packages for path in sorted((root / package).rglob("*.py"))]
    names = [".".join(path.relative_to(root).with_suffix("").parts).removesuffix(".__init__") for path in paths]
    return {name: ast.parse(path.read_text(encoding="utf-8")) for name, path in zip(names, paths, strict=True)}


def imports(tree: ast.Module, known: Trees) -> Iterator[str]:
    """Every module that is imported anywhere in another, inside functions and for type checking too."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        if isinstance(node, ast.ImportFrom):
            base = "." * node.level + (node.module or "")
            inner = [f"{base}.{alias.name}" for alias in node.names]
            yield from (name if name in known else base for name in inner)


def top(name: str) -> str:
    return name.partition(".")[0]


def is_pure(name: str) -> bool:
    return f"{name}.".startswith(f"{CORE}.")


def room_of(name: str, rooms: Iterable[str]) -> str:
    """The folder that a module lies in; a folder is its own room."""
    return name if name in rooms else name.rpartition(".")[0]


def against_the_arrows(trees: Trees) -> list[str]:
    return [
        f"{name} imports {other}"
        for name, tree in trees.items()
        for other in imports(tree, trees)
        if top(other) in {*MAY_IMPORT, "tests", ""} - MAY_IMPORT[top(name)]
    ]


def circles(trees: Trees) -> list[str]:
    graph = {name: {other for other in imports(tree, trees) if other in trees} for name, tree in trees.items()}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        return [" <- ".join(error.args[1])]
    return []


def rooms_in_a_circle(trees: Trees) -> list[str]:
    rooms = {name for name in trees if any(other.startswith(f"{name}.") for other in trees)}
    graph: dict[str, set[str]] = defaultdict(set)
    for name, tree in trees.items():
        here = room_of(name, rooms)
        graph[here] |= {room_of(other, rooms) for other in imports(tree, trees) if other in trees} - {here}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        return [" <- ".join(error.args[1])]
    return []


def loose_modules(trees: Trees) -> list[str]:
    return [
        f"{name} lies in no room"
        for name in trees
        if name.count(".") == 1 and top(name) == "floor" and name not in MAY_STAND_ALONE
        if not any(other.startswith(f"{name}.") for other in trees)
    ]


def compared_kinds(trees: Trees) -> list[str]:
    """Comparisons with the kind of a step: a step answers what it is."""
    return [
        f"{name}:{node.lineno} compares {ast.unparse(node)}"
        for name, tree in trees.items()
        if name not in {"shared.route", "shared.files.stepfile"}
        for node in ast.walk(tree)
        if isinstance(node, ast.Compare)
        and any(isinstance(side, ast.Constant) and side.value in STEP_KINDS for side in node.comparators)
    ]


def loose_answers(trees: Trees) -> list[str]:
    """Dictionaries of anything that leave the core: answers are structs, made into plain data at the edge."""
    return [
        f"{name}:{node.lineno} says {ast.unparse(node)}"
        for name, tree in trees.items()
        if is_pure(name)
        for public in _public(tree)
        for node in ast.walk(public)
        if isinstance(node, ast.Subscript) and ast.unparse(node) in {"dict[str, Any]", "dict[str, object]"}
    ]


def _public(tree: ast.Module) -> Iterator[ast.AST]:
    """What others see: all but what a private function does within."""
    for node in (inner for each in tree.body for inner in (each.body if isinstance(each, ast.ClassDef) else [each])):
        if not isinstance(node, ast.FunctionDef):
            yield node
        elif not node.name.startswith("_"):
            yield from filter(None, [node.args, node.returns])


def impure_imports(trees: Trees) -> list[str]:
    return [
        f"{name} imports {other}"
        for name, tree in trees.items()
        if is_pure(name)
        for other in imports(tree, trees)
        if top(other) in WORLD | {"tickets", "scanners"} or (top(other) == "floor" and not is_pure(other))
    ]


def worldly_shared(trees: Trees) -> list[str]:
    return [
        f"{name} imports {other}"
        for name, tree in trees.items()
        if top(name) == "shared"
        for other in imports(tree, trees)
        if top(other) in WORLD - ALLOWED_IN_SHARED.get(name, set())
    ]


def worldly_calls(trees: Trees) -> list[str]:
    return [
        f"{name}:{node.lineno} calls {node.func.id}"
        for name, tree in trees.items()
        if is_pure(name) or top(name) == "shared"
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in TOUCHES_THE_WORLD
    ]


def told_times(trees: Trees) -> list[str]:
    """Places that take the time from the computer; `clock.now()` takes it from whoever holds the clock."""
    return [
        f"{name}:{node.lineno} uses {ast.unparse(node)}"
        for name, tree in trees.items()
        if name != "shared.clock"
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and tells_the_time(node)
    ]


def tells_the_time(node: ast.Attribute) -> bool:
    return (top_of(node) in {"datetime", "date"} and node.attr in TELLS_THE_TIME) or ast.unparse(node) == "time.time"


def clocks_in_tests(trees: Trees) -> list[str]:
    """Tests that know what day it is, or wait: by themselves, or by a command that nobody hands a clock."""
    return [
        f"{name}:{node.lineno}: {ast.unparse(node)}"
        for name, tree in trees.items()
        if not any(f"{name}.".startswith(f"{free}.") for free in MAY_LOOK_AT_THE_CLOCK)
        for node in ast.walk(tree)
        if isinstance(node, ast.stmt | ast.expr) and looks_at_the_clock(node)
    ]


def looks_at_the_clock(node: ast.stmt | ast.expr) -> bool:
    match node:
        case ast.Import(names=names):
            return any(alias.name == "time" for alias in names)
        case ast.ImportFrom(module=module, names=names):
            return module == "time" or any(alias.name == "SystemClock" for alias in names)
        case ast.Call(func=ast.Attribute(attr="sleep"), args=[seconds]):
            return ast.unparse(seconds) != "0"  # with 0 it gives way to others, and waits for nothing
        case ast.Call(func=ast.Attribute(attr="invoke"), args=[ast.Name(id="main"), *_], keywords=keywords):
            return not any(keyword.arg == "obj" for keyword in keywords)
    return isinstance(node, ast.Attribute) and tells_the_time(node)


def top_of(node: ast.Attribute) -> str:
    return ast.unparse(node.value).rpartition(".")[2]


RULES: tuple[Callable[[Trees], list[str]], ...] = (
    against_the_arrows,
    circles,
    rooms_in_a_circle,
    loose_modules,
    compared_kinds,
    loose_answers,
    impure_imports,
    worldly_shared,
    worldly_calls,
    told_times,
)


@pytest.fixture(scope="module")
def ours() -> Trees:
    return trees_of(ROOT)


@pytest.fixture(scope="module")
def tests() -> Trees:
    return trees_of(ROOT, ["tests"])


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.__name__)
def test_the_house_keeps_its_rules(rule: Callable[[Trees], list[str]], ours: Trees) -> None:
    broken = rule(ours)
    assert not broken, "\n".join(broken)


def test_no_test_looks_at_the_computer_s_clock(tests: Trees) -> None:
    broken = clocks_in_tests(tests)
    assert not broken, "\n".join(broken)


@pytest.mark.parametrize("name", MAY_LOOK_AT_THE_CLOCK)
def test_every_test_that_may_look_at_the_clock_does(name: str, tests: Trees) -> None:
    its = [tree for each, tree in tests.items() if f"{each}.".startswith(f"{name}.")]
    assert clocks_in_tests({f"tests.test_{n}": tree for n, tree in enumerate(its)})


def test_there_is_something_to_keep_in_order(ours: Trees) -> None:
    assert set(MAY_IMPORT) == {top(name) for name in ours}
    assert sum(map(is_pure, ours)) > 10


@pytest.mark.parametrize("name", ALLOWED_IN_SHARED)
def test_every_exception_is_still_there(name: str, ours: Trees) -> None:
    assert name in ours


@pytest.mark.parametrize(("name", "allowed"), ALLOWED_IN_SHARED.items())
def test_every_exception_is_still_needed(name: str, allowed: set[str], ours: Trees) -> None:
    assert allowed == {top(other) for other in imports(ours[name], ours)} & WORLD


# That the rules see what they should


@pytest.mark.parametrize(
    ("rule", "name", "text"),
    [
        (against_the_arrows, "shared.money", "import floor.core.state.floor"),
        (against_the_arrows, "shared.money", "def f():\n    from floor import core"),
        (against_the_arrows, "tickets.traveller", "from scanners.framing import codes"),
        (against_the_arrows, "scanners.keys", "from floor.core.state.floor import Floor"),
        (against_the_arrows, "floor.cli", "from demo_shop import play"),
        (against_the_arrows, "floor.cli", "from tests.making import shop"),
        (against_the_arrows, "floor.cli", "from . import jobs"),
        (impure_imports, "floor.core.state.floor", "from pathlib import Path"),
        (impure_imports, "floor.core.state.floor", "import os.path"),
        (impure_imports, "floor.core.state.floor", "from tickets.kit.paper import PAPERS"),
        (impure_imports, "floor.core.cost.quote", "from floor.ledger import Ledger"),
        (impure_imports, "floor.core.cost.quote", "from floor import ledger"),
        (worldly_shared, "shared.codes", "import logging"),
        (worldly_calls, "floor.core.state.floor", "open('shop.toml')"),
        (worldly_calls, "shared.codes", "print('hello')"),
        (told_times, "floor.service.service", "from datetime import datetime\ndatetime.now()"),
        (told_times, "floor.core.plan.board", "import datetime as dt\ndt.datetime.utcnow()"),
        (told_times, "floor.core.plan.board", "from datetime import date\nf = date.today"),
        (told_times, "floor.cli", "import time\ntime.time()"),
    ],
)
def test_a_broken_rule_is_seen(rule: Callable[[Trees], list[str]], name: str, text: str) -> None:
    assert len(rule({"floor.ledger": ast.parse(""), name: ast.parse(text)})) == 1


@pytest.mark.parametrize(
    "text",
    [
        "import time",
        "from time import monotonic as now",
        "import datetime as dt\ndt.datetime.now()",
        "from datetime import date\nf = date.today",
        "from shared.clock import SetClock, SystemClock",
        "import asyncio\nasync def f():\n    await asyncio.sleep(0.1)",
        "page.sleep(seconds)",
        "CliRunner().invoke(main, ['board'])",
        "runner.invoke(main, words, input=None)",
    ],
)
def test_a_clock_in_a_test_is_seen(text: str) -> None:
    assert len(clocks_in_tests({"tests.test_shop": ast.parse(text)})) == 1
    assert clocks_in_tests({"tests.bench.bench_shop": ast.parse(text)}) == []


@pytest.mark.parametrize(
    "text",
    [
        "from datetime import time",
        "clock.now()",
        "asyncio.sleep(0)",
        "runner.invoke(main, words, obj=folder)",
        "runner.invoke(demo, words)",
    ],
)
def test_what_takes_no_time_from_the_computer_is_no_clock_in_a_test(text: str) -> None:
    assert clocks_in_tests({"tests.test_shop": ast.parse(text)}) == []


@pytest.mark.parametrize(
    ("rule", "name", "text"),
    [
        (loose_modules, "floor.sweeping", "x = 1"),
        (compared_kinds, "floor.core.cost.quote", "step.kind == 'dwell'"),
        (compared_kinds, "tickets.cards", "'hand' != kind or kind != 'hand'"),
        (loose_answers, "floor.core.cost.quote", "def f() -> dict[str, Any]: ..."),
        (loose_answers, "floor.core.cost.quote", "class C:\n    x: list[dict[str, object]]"),
        (loose_answers, "floor.core.cost.quote", "Answer = dict[str, Any]"),
    ],
)
def test_what_breaks_the_order_of_the_house_is_seen(rule: Callable[[Trees], list[str]], name: str, text: str) -> None:
    assert len(rule({name: ast.parse(text)})) == 1


def test_rooms_that_need_each_other_are_seen_though_no_two_of_their_modules_do() -> None:
    texts = {"f": "", "f.a": "", "f.b": "", "f.a.x": "import f.b.y", "f.b.y": "", "f.b.z": "import f.a.w", "f.a.w": ""}
    house = {name: ast.parse(text) for name, text in texts.items()}
    assert circles(house) == []
    assert len(rooms_in_a_circle(house)) == 1


def test_the_map_names_every_room(ours: Trees) -> None:
    """Rooms within a room may be named in its line."""
    chart = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rooms = [name for name in ours if name != "floor" and any(other.startswith(f"{name}.") for other in ours)]
    named = {room for room in rooms if f"| `{room.replace('.', '/')}` |" in chart}
    missing = [room for room in rooms if room not in named]
    assert [room for room in missing if f"`{room.rpartition('.')[2]}/`" not in chart] == []


@pytest.mark.parametrize("text", ["from floor import b", "import floor.b", "def f():\n    from floor.b import x"])
def test_a_circle_is_seen(text: str) -> None:
    assert circles({"floor.a": ast.parse(text), "floor.b": ast.parse("from floor.a import y")})


def test_a_clock_that_was_handed_in_may_be_asked() -> None:
    assert told_times({"floor.service.service": ast.parse("self.clock.now()")}) == []
