"""What is behind a figure: pieces, steps and scans that add up to it."""

from decimal import Decimal

from hypothesis import given

from floor.core.cost import cause
from floor.core.cost.account import account
from floor.core.cost.actual import Costs
from floor.core.figures.explain import Explanation, explanation
from floor.core.figures.money import job_week
from floor.core.times.cycle import Walks
from floor.reports.answer import explanation_answer
from floor.reports.explained import ROWS_MAX, explanation_text
from shared.codes import CodeType
from shared.events.reads import StepDone
from shared.money import ELEMENTS, Element
from tests.floor.core.cost.test_account import plays
from tests.floor.wall.boards import lines_of
from tests.making import DARK_WALK, Play, card, walk


def explained(play: Play, element: Element, job: str = "J0001") -> Explanation:
    walks = Walks(play.floor, play.shop)
    its = account(Costs(walks, play.shop), play.floor.jobs[job].pieces)
    told = job_week(walks, job, its, play.shop.unit)
    return explanation(walks, its, told, element, None, play.shop.currency, play.shop.unit)


def slow_day() -> tuple[Play, str]:
    """Hands that took 80 s longer than the standard to pretreat the second piece, which cost 0.40."""
    play = Play()
    play.badge = "B"
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth", after_s=90)
    play.scan(other, "pretreat booth", after_s=170)
    walk(play, other, DARK_WALK[1:])
    return play, other


def test_a_row_names_piece_step_station_moment_and_the_scan_that_says_so() -> None:
    play, piece = slow_day()
    [row] = explained(play, "labour").reasons
    scan = play.rows[(row.row or 0) - 1]
    assert isinstance(scan.event, StepDone)
    assert (scan.event.piece, scan.event.step) == (row.piece, 0) == (piece, 0)
    assert (row.what, row.station, row.at) == ("pretreat", "pretreat booth", scan.occurred_at)
    assert (row.basis, row.why, row.cause) == ("measured", "", cause.DERIVED)


def test_quantity_and_price_are_told_as_quoted_and_as_they_were() -> None:
    play, _ = slow_day()
    [row] = explained(play, "labour").reasons
    assert (row.quantity_quoted, row.quantity) == (Decimal("0.025"), Decimal("0.047222222"))
    assert (row.price_quoted, row.price, row.difference) == (Decimal(18), Decimal(18), Decimal("0.40"))


def test_what_cost_what_it_was_quoted_at_is_left_out() -> None:
    play, _ = slow_day()
    assert {row.what for row in explained(play, "labour").reasons} == {"pretreat"}


def test_spoilage_names_the_scan_that_spoiled_the_piece() -> None:
    play, _ = slow_day()
    [first, *_] = play.floor.jobs["J0001"].pieces
    play.scan(card(CodeType.REASON, "stain"), "inspection")
    play.scan(first.code, "inspection", after_s=5)
    row = explained(play, "spoilage").reasons[0]
    assert first.spoiled is not None
    assert (row.piece, row.row, row.station) == (first.code, first.spoiled.seq, "inspection")
    assert row.cause == "spoiled: stain"


def test_the_largest_difference_comes_first() -> None:
    play = Play()
    pieces = play.job(sizes={"M": 3})
    for piece, after_s in zip(pieces, (90, 120, 200), strict=True):
        play.scan(piece, "pretreat booth", after_s=after_s)
    for piece in pieces:
        walk(play, piece, DARK_WALK[1:])
    sizes = [abs(row.difference) for row in explained(play, "labour").reasons]
    assert sizes == sorted(sizes, reverse=True)
    assert len(sizes) > 1


@given(plays())
def test_the_rows_add_up_to_the_figure_to_the_cent(play: Play) -> None:
    for job in play.floor.jobs:
        for element in ELEMENTS:
            found = explained(play, element, job)
            assert sum((row.by_price for row in found.reasons), Decimal(0)) == found.variance.price
            assert sum((row.by_quantity for row in found.reasons), Decimal(0)) == found.variance.quantity
            assert found.difference == found.actual - found.quoted


# As it is told


def test_a_terminal_shows_the_figure_and_its_rows() -> None:
    play, piece = slow_day()
    text = "\n".join(lines_of(explanation_text(explained(play, "labour"), play.shop, 100), 100))
    assert "J0001, labour in all: quoted $0.97, actual $1.37, difference $0.40" in text
    assert f"{piece}  pretreat     ▲ +0.40  derived times" in text
    assert "1 min 30 s  2 min 50 s" in text


def test_more_rows_than_fit_are_told_as_one_sum() -> None:
    play = Play()
    pieces = play.job(sizes={"M": ROWS_MAX + 2})
    for piece in pieces:
        play.scan(piece, "pretreat booth", after_s=120)
    for piece in pieces:
        walk(play, piece, DARK_WALK[1:])
    found = explained(play, "labour")
    more = found.reasons[ROWS_MAX:]
    text = "\n".join(lines_of(explanation_text(found, play.shop, 100), 100))
    assert f"{len(more)} smaller ones come to ${sum(row.difference for row in more):.2f}" in text


def test_a_figure_with_nothing_behind_it_says_so() -> None:
    play = Play()
    [piece] = play.job(colour="white")
    walk(play, piece, (("printer 1", 95), ("press 1", 20), ("press 1", 60), ("packing", 20)))
    [line] = lines_of(explanation_text(explained(play, "white_ink"), play.shop, 200), 200)
    assert line.endswith("Nothing of it was quoted, and nothing used.")


def test_an_answer_holds_every_row_with_its_difference() -> None:
    play, piece = slow_day()
    answer = explanation_answer(explained(play, "labour"))
    assert answer["difference"] == "0.40"
    [row] = answer["reasons"]
    assert (row["piece"], row["difference"], row["basis"]) == (piece, "0.40", "measured")
