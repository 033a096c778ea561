"""A reason card and a piece: spoiled, and remade."""

import pytest

from shared.codes import CodeType, make
from shared.events.jobs import PieceOpened
from shared.events.reads import PieceSpoiled
from shared.files.shop import parse_shop
from tests.making import DARK_WALK, Play, card, shop_data, walk

STAIN = card(CodeType.REASON, "stain")
SCORCH = card(CodeType.REASON, "scorch")


@pytest.fixture
def play() -> Play:
    return Play()


def either_way() -> Play:
    """A shop that lets a reason card follow its piece."""
    return Play(parse_shop(shop_data(shop={**shop_data()["shop"], "reason_card": "before or after"})))


def test_a_reason_and_then_a_piece_spoil_the_piece(play: Play) -> None:
    [piece] = play.job()
    assert play.scan(STAIN, "inspection").say == "Reason: stain. Now read the piece, within 30 s."
    answer = play.scan(piece, "inspection", after_s=30)
    assert (answer.outcome, answer.piece, answer.next) == ("accepted", piece, "pretreat")
    assert play.piece(piece).state == "spoiled"


def test_the_answer_names_the_piece_that_was_spoiled_and_what_it_is(play: Play) -> None:
    _, _, third = play.job(sizes={"M": 2, "XL": 2})[:3]
    answer = play.spoil(third, "inspection")
    assert answer.say == (
        f"Spoiled: stain: {third} (heavy tee, navy, XL, number 3 of 4)."
        f" Its remake is {answer.remake}: print its ticket."
    )


def test_a_card_that_is_meant_for_the_next_piece_does_not_spoil_the_good_one_before_it(play: Play) -> None:
    good, bad = play.job(sizes={"M": 2})
    play.scan(good, "pretreat booth")
    assert play.spoil(bad, "pretreat booth", after_s=5).piece == bad
    assert [play.piece(code).state for code in (good, bad)] == ["open", "spoiled"]


def test_a_piece_and_then_a_reason_spoil_the_piece_where_the_shop_wants_it() -> None:
    play = either_way()
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    answer = play.scan(STAIN, "pretreat booth", after_s=30)
    assert (answer.piece, play.piece(piece).state) == (piece, "spoiled")


def test_a_refused_piece_can_be_spoiled_where_it_was_refused() -> None:
    play = either_way()
    [piece] = play.job()
    play.scan(piece, "packing")
    play.scan(STAIN, "packing", after_s=5)
    assert play.piece(piece).state == "spoiled"


def test_a_reason_waits_no_longer_than_half_a_minute(play: Play) -> None:
    [piece] = play.job()
    play.scan(STAIN, "pretreat booth")
    assert play.scan(piece, "pretreat booth", after_s=30.5).step == "pretreat"


def test_a_reason_that_comes_too_late_waits_for_the_next_piece() -> None:
    play = either_way()
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth")
    play.scan(STAIN, "pretreat booth", after_s=31)
    play.scan(other, "pretreat booth", after_s=5)
    assert [play.piece(code).state for code in (one, other)] == ["open", "spoiled"]


def test_a_reason_waits_at_its_own_station(play: Play) -> None:
    [piece] = play.job()
    play.scan(STAIN, "inspection")
    assert play.scan(piece, "pretreat booth", after_s=5).step == "pretreat"


def test_a_reason_spoils_one_piece_only(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    play.scan(STAIN, "pretreat booth")
    play.scan(one, "pretreat booth", after_s=5)
    assert play.scan(other, "pretreat booth", after_s=5).step == "pretreat"


def test_the_second_of_two_reasons_is_the_one_that_counts(play: Play) -> None:
    [piece] = play.job()
    play.scan(STAIN, "inspection")
    play.scan(SCORCH, "inspection", after_s=5)
    play.scan(piece, "inspection", after_s=5)
    spoiled = play.piece(piece).spoiled
    assert spoiled
    assert spoiled.reason == "scorch"


def test_the_remake_is_a_new_piece_with_the_old_one_s_number_size_and_route(play: Play) -> None:
    pieces = play.job(sizes={"M": 1, "XL": 1})
    play.scan(pieces[1], "pretreat booth")
    remake = play.piece(play.spoil(pieces[1], "pretreat booth").remake or "")
    spoiled = play.piece(pieces[1])
    assert (remake.number, remake.size, remake.route) == (spoiled.number, "XL", spoiled.route)
    assert (remake.remake_of, spoiled.remake) == (spoiled.code, remake.code)
    assert remake.position == 0


def test_the_remake_gets_the_code_after_all_that_there_are(play: Play) -> None:
    first, *_ = play.job(sizes={"M": 3})
    play.job()
    play.scan(STAIN, "inspection")
    assert play.scan(first, "inspection", after_s=5).remake == make(CodeType.PIECE, 5)


def test_the_remake_walks_from_the_start(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:6])
    remake = play.spoil(piece, "press 1", "scorch").remake or ""
    assert walk(play, remake).say == "Packed. Finished."


def test_a_remake_can_be_spoiled_too(play: Play) -> None:
    [piece] = play.job()
    for _ in range(3):
        play.scan(STAIN, "inspection")
        piece = play.scan(piece, "inspection", after_s=5).remake or ""
    assert [each.state for each in play.floor.jobs["J0001"].pieces] == ["spoiled"] * 3 + ["open"]


def test_what_was_done_to_a_spoiled_piece_stays_known(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:4])
    play.spoil(piece, "printer 1")
    assert [walked.over for walked in play.piece(piece).walk] == [True] * 4 + [False] * 2


def test_a_finished_piece_can_still_be_spoiled(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    play.spoil(piece, "packing")
    assert play.piece(piece).state == "spoiled"


def test_a_spoiled_piece_is_not_spoiled_again(play: Play) -> None:
    [piece] = play.job()
    play.scan(STAIN, "inspection")
    remake = play.scan(piece, "inspection", after_s=5).remake
    play.scan(SCORCH, "inspection", after_s=60)
    answer = play.scan(piece, "inspection", after_s=5)
    assert (answer.reason, answer.next) == ("spoiled", None)
    assert answer.say == f"This piece was spoiled before. Its remake is {remake}."


def test_a_spoiled_piece_is_refused_everywhere_and_its_remake_named(play: Play) -> None:
    [piece] = play.job()
    play.scan(STAIN, "inspection")
    remake = play.scan(piece, "inspection", after_s=5).remake
    answer = play.scan(piece, "packing")
    assert (answer.reason, answer.say) == ("spoiled", f"This piece was spoiled. Its remake is {remake}.")


def test_nothing_is_remade_for_a_job_that_was_given_up(play: Play) -> None:
    done, _ = play.job(sizes={"M": 2})
    walk(play, done)
    play.cancel()
    play.scan(STAIN, "packing", after_s=60)
    assert play.scan(done, "packing", after_s=5).reason == "cancelled"
    assert len(play.floor.pieces) == 2


def test_a_piece_of_a_held_job_can_be_spoiled(play: Play) -> None:
    [piece] = play.job()
    play.hold()
    play.scan(STAIN, "inspection")
    assert play.scan(piece, "inspection", after_s=5).outcome == "accepted"


def test_the_read_id_goes_to_the_spoiling_and_not_to_the_remake(play: Play) -> None:
    [piece] = play.job()
    play.scan(STAIN, "inspection")
    play.scan(piece, "inspection", after_s=5)
    spoiled, opened = play.rows[-2:]
    assert (type(spoiled.event), spoiled.read_id) == (PieceSpoiled, "read 2")
    assert (type(opened.event), opened.read_id) == (PieceOpened, None)


def test_a_remake_goes_the_way_that_the_shop_works_today(play: Play) -> None:
    [piece] = play.job(places=("front", "back"))
    steps = shop_data()["steps"]
    play.shop = parse_shop(shop_data(steps={**steps, "cure": {**steps["cure"], "min_s": 240}}))
    play.scan(STAIN, "inspection")
    remake = play.piece(play.scan(piece, "inspection", after_s=5).remake or "")
    assert [step.min_s for step in remake.route if step.key == "cure"] == [240, 240]
    assert [step.min_s for step in play.piece(piece).route if step.key == "cure"] == [180, 180]


def test_a_remake_is_printed_with_the_ink_of_the_piece_that_it_replaces(play: Play) -> None:
    [piece] = play.job(places=("front", "back"))
    play.scan(STAIN, "inspection")
    remake = play.piece(play.scan(piece, "inspection", after_s=5).remake or "")
    assert remake.route == play.piece(piece).route
    assert any(step.uses.white_ml for step in remake.route)


def test_a_remake_of_an_item_that_the_shop_has_no_longer_goes_the_old_way(play: Play) -> None:
    [piece] = play.job()
    play.shop = parse_shop(shop_data(items={"tile": shop_data()["items"]["heavy tee"]}))
    play.scan(STAIN, "inspection")
    remake = play.piece(play.scan(piece, "inspection", after_s=5).remake or "")
    assert remake.route == play.piece(piece).route


def test_the_ink_of_a_remake_outlives_another_name_of_its_step(play: Play) -> None:
    [piece] = play.job(places=("front", "back"))
    data = shop_data()
    steps = {**data["steps"], "print": data["steps"]["colour"]}
    stations = [{**each, "steps": [*each["steps"], "print"]} for each in data["stations"] if "colour" in each["steps"]]
    others = [each for each in data["stations"] if "colour" not in each["steps"]]
    routes = {**data["routes"], "dark garment": ["pretreat", "underlayer", "inspect", "print", "cure", "pack"]}
    play.shop = parse_shop(shop_data(steps=steps, stations=[*stations, *others], routes=routes))
    play.scan(STAIN, "inspection")
    remake = play.piece(play.scan(piece, "inspection", after_s=5).remake or "")
    colour = [step.uses.colour_ml for step in play.piece(piece).route if step.key == "colour"]
    assert [step.uses.colour_ml for step in remake.route if step.key == "print"] == colour
    assert all(colour)
