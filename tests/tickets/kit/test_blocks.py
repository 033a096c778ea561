"""Blocks on pages: in their order, none lost, none torn, and the heads of a table again where it goes on."""

from hypothesis import given
from hypothesis import strategies as st

from tickets.kit.blocks import Block, pages, together
from tickets.kit.box import Box

HEAD = Block(10, lambda _: None)


def block(height: float) -> Block:
    return Block(height, lambda _: None, again=HEAD)


def test_blocks_fill_a_page_before_the_next_is_begun() -> None:
    assert [len(page) for page in pages([Block(40, lambda _: None)] * 5, 100)] == [2, 2, 1]


def test_a_page_that_begins_within_a_table_begins_with_its_heads() -> None:
    first, second = pages([block(60), block(60)], 100)
    assert HEAD not in first
    assert second[0] is HEAD


@given(st.lists(st.floats(1, 80), min_size=1, max_size=40))
def test_no_page_is_fuller_than_it_is_high_and_no_block_is_lost(heights: list[float]) -> None:
    blocks = [block(height) for height in heights]
    found = list(pages(blocks, 100))
    assert all(sum(each.height for each in page) <= 100 + 1e-9 for page in found)
    assert [each for page in found for each in page if each is not HEAD] == blocks


def test_what_belongs_together_is_drawn_from_the_top_one_beneath_the_other() -> None:
    drawn: list[Box] = []
    pair = together([Block(10, drawn.append), Block(20, drawn.append)])
    pair.draw(Box(0, 0, 50, pair.height))
    assert drawn == [Box(0, 20, 50, 10), Box(0, 0, 50, 20)]
