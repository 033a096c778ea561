"""The tool that changes code at random, on a tree of its own."""

from pathlib import Path

import pytest

from tests.mutants import Mutant, fitting_tests, mutants_of, sample, survives

SOURCE = """
def paid(hours, rate, flat):
    if hours > 8 and not flat:
        hours += 1
    log(hours, rate)
    return hours * rate
"""


def changes() -> list[tuple[str, int]]:
    return [(mutant.change, mutant.line) for mutant in mutants_of(Path("paid.py"), SOURCE)]


@pytest.mark.parametrize(
    "change",
    [
        *(("operator", 3), ("operator", 6), ("constant", 3), ("negation", 3), ("dropped operand", 3)),
        *(("dropped operand", 6), ("removed statement", 4), ("removed statement", 5), ("swapped arguments", 5)),
        ("return None", 6),
    ],
)
def test_each_kind_of_change_is_made_where_it_can_be(change: tuple[str, int]) -> None:
    assert change in changes()


def test_each_mutant_differs_from_the_file_in_one_place() -> None:
    sources = [mutant.source for mutant in mutants_of(Path("paid.py"), "total = 1 + hours * 2\n")]
    assert len(set(sources)) == len(sources)
    assert "total = 1 - hours * 2" in sources
    assert "total = hours * 2" in sources


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A tree with one function, of which one half is tested."""
    files = {
        "shop/cost/pay.py": "def pay(hours):\n    return hours * 2\n\n\ndef bonus(hours):\n    return hours + 3\n",
        "tests/shop/test_pay.py": "from shop.cost.pay import pay\n\n\ndef test_pay():\n    assert pay(3) == 6\n",
    }
    for name, text in files.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def test_the_tests_of_a_file_are_those_of_the_nearest_folder_that_mirrors_its_own(house: Path) -> None:
    assert fitting_tests(house, Path("shop/cost/pay.py")) == Path("tests/shop")


def test_what_is_tested_dies_and_what_is_not_survives(house: Path) -> None:
    file = Path("shop/cost/pay.py")
    text = (house / file).read_text(encoding="utf-8")
    killed = Mutant(file, 2, "operator", text.replace("* 2", "/ 2"))
    alive = Mutant(file, 6, "operator", text.replace("+ 3", "- 3"))
    assert [survives(house, mutant) for mutant in (killed, alive)] == [False, True]
    assert (house / file).read_text(encoding="utf-8") == text


def test_a_seed_gives_the_same_sample(house: Path) -> None:
    assert sample(house, "shop", 3, seed=7) == sample(house, "shop", 3, seed=7)
    assert len(sample(house, "shop", 3, seed=7)) == 3


def test_a_package_that_is_not_there_is_named(house: Path) -> None:
    with pytest.raises(SystemExit, match="--package flor: there is no such package here"):
        sample(house, "flor", 3, seed=7)
