"""Large figures."""

import pytest

from floor.wall.digits import columns_of, large, rows_of


def test_figures_are_drawn_from_half_blocks() -> None:
    assert large("1:20", 1) == [
        "▄█  ▄ ▀▀█ █▀█",
        " █  ▄ █▀▀ █ █",
        "▀▀▀   ▀▀▀ ▀▀▀",
    ]


@pytest.mark.parametrize("scale", [0, 1, 2, 3, 4])
@pytest.mark.parametrize("text", ["0", "+12:34", "0123456789"])
def test_a_figure_takes_the_room_that_was_foretold(text: str, scale: int) -> None:
    rows = large(text, scale)
    assert len(rows) == rows_of(scale)
    assert {len(row) for row in rows} == {columns_of(text, scale)}


@pytest.mark.parametrize("scale", [1, 2, 3])
def test_no_two_figures_look_alike(scale: int) -> None:
    assert len({tuple(large(figure, scale)) for figure in "0123456789:+"}) == 12


@pytest.mark.parametrize("figure", "0123456789")
def test_every_figure_of_a_scale_is_as_wide_as_every_other(figure: str) -> None:
    """So a countdown stands still while it runs."""
    assert columns_of(figure, 2) == 6
