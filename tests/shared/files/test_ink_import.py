"""[ink_import] of a shop file: the columns of a printer's log."""

import tomllib
from typing import Any

import pytest

from shared.files.ink_import import InkImport
from shared.files.problems import ProblemsFound
from shared.files.shop import parse_shop
from tests.making import NEW_SHOP, shop_data


def test_left_out_the_columns_have_the_names_of_their_keys_and_only_the_piece_must_be_there() -> None:
    table = InkImport()
    assert (table.ink("white"), table.ink("colour"), table.unit) == (["white_ml"], ["colour_ml"], "ml")
    assert list(table.named()) == ["piece"]


def test_the_columns_that_are_named_must_be_there() -> None:
    table = InkImport.model_validate({"piece": "Job", "colour_ml": ["C", "M"], "at": "Finished"})
    assert sorted(table.named()) == ["C", "Finished", "Job", "M"]


def test_the_example_in_a_new_shop_file_is_one() -> None:
    lines = NEW_SHOP.read_text(encoding="utf-8").splitlines()
    start = lines.index("# [ink_import]")
    example = "\n".join(line.removeprefix("# ") for line in lines[start : lines.index("", start)])
    shop = parse_shop(shop_data(**tomllib.loads(example)))
    assert shop.file.ink_import.ink("colour") == ["Cyan", "Magenta", "Yellow", "Black"]


@pytest.mark.parametrize(
    ("table", "where"),
    [
        ({"unit": "gallon"}, "shop.toml: ink_import.unit"),
        ({"white": "White"}, "shop.toml: ink_import.white"),
        ({"colour_ml": []}, "shop.toml: ink_import.colour_ml"),
        ({"piece": ""}, "shop.toml: ink_import.piece"),
    ],
)
def test_what_cannot_be_is_refused_by_its_key(table: dict[str, Any], where: str) -> None:
    with pytest.raises(ProblemsFound) as refused:
        parse_shop(shop_data(ink_import=table))
    assert [problem.where for problem in refused.value.problems] == [where]
