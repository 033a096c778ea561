"""Tables of figures for a terminal."""

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from floor.words.columns import TextColumn, figures, table, words
from tests.floor.wall.boards import TEXTS, lines_of

JOBS = words("job", ["J0001 Harbour rowing club", "J0002 Saltmarsh school"])


def money(*amounts: str) -> TextColumn:
    return figures("cost", amounts)


def test_what_fits_stands_in_one_table() -> None:
    assert [
        line.rstrip() for line in lines_of(table(JOBS, [money("1.00", "12.50"), money("3.00", "4.00")], 80), 80)
    ] == [
        "job                         cost  cost",
        "J0001 Harbour rowing club   1.00  3.00",
        "J0002 Saltmarsh school     12.50  4.00",
    ]


def test_a_name_is_shortened_before_a_figure_goes_below() -> None:
    lines = lines_of(table(JOBS, [money("1.00", "12.50"), money("3.00", "4.00")], 30), 30)
    assert lines[1].split() == ["J0001", "Harbour", "ro…", "1.00", "3.00"]


def test_figures_that_do_not_fit_go_on_below_under_the_same_names() -> None:
    lines = lines_of(table(JOBS, [money("1" * 12, "2" * 12), money("3" * 12, "4" * 12)], 40), 40)
    assert [line.split()[-1] for line in lines if line.startswith("J0001")] == ["1" * 12, "3" * 12]


@given(
    names=st.lists(TEXTS, min_size=1, max_size=4),
    numbers=st.lists(st.integers(-(10**15), 10**15), min_size=1, max_size=9),
    width=st.integers(40, 160),
)
def test_no_figure_is_ever_cut_or_wrapped(names: list[str], numbers: list[int], width: int) -> None:
    columns = [figures("figure", [f"{number:,}"] * len(names)) for number in numbers]
    lines = lines_of(table(words("name", names), columns, width), width)
    assert max(map(cell_len, lines)) <= width
    shown = " ".join(lines).split()
    for number in numbers:
        assert shown.count(f"{number:,}") >= numbers.count(number) * len(names)
