"""Whatever is read, wherever, in whatever order: what must hold on the floor all the same."""

from collections import Counter
from datetime import timedelta

from hypothesis import given

from floor.core.folds.fold import fold_all
from shared.codes import CodeType, parse
from shared.events.reads import PieceSpoiled, StepDone, StepInterrupted, StepStarted
from shared.events.recorded import read_of
from shared.files.cards import UNDO
from tests.floor.plays import Act, Told, days, played, standing
from tests.making import Play, card


@given(days)
def test_every_read_leaves_one_row_with_its_id_and_a_repeated_one_leaves_none(acts: list[Act]) -> None:
    def check(play: Play, told: Told) -> None:
        facts, answer = told.decision.facts, told.decision.answer
        if not facts:
            assert repeats_what_was_read(play, told) or answer.say.startswith("This scanner stands at")
            return
        assert [fact.read_id for fact in facts if fact.read_id] == [f"read {play.reads}"]
        assert answer.outcome != "repeated"

    played(acts, check)


def repeats_what_was_read(play: Play, told: Told) -> bool:
    """Whether the ledger has a read of that code within the repeat window."""
    window_s = play.shop.file.shop.repeat_window_s
    at = play.now.timestamp() - told.read.late_s
    near = (read_of(row.event) for row in play.rows if abs(row.occurred_at.timestamp() - at) <= window_s)
    return any(parse(read.text) == parse(told.read.code) for read in near if read)


@given(days)
def test_what_is_told_to_the_operator_is_kept_with_what_was_read(acts: list[Act]) -> None:
    def check(_play: Play, told: Told) -> None:
        kept = [read for fact in told.decision.facts if (read := read_of(fact.event))]
        assert [read.answer for read in kept] == [told.decision.answer] * bool(told.decision.facts)
        assert all(told.read.code.startswith(read.text) for read in kept)

    played(acts, check)


@given(days)
def test_no_piece_is_finished_without_the_steps_that_must_not_be_missed(acts: list[Act]) -> None:
    for piece in played(acts).floor.pieces.values():
        if piece.finished:
            must = [walked for step, walked in zip(piece.route, piece.walk, strict=True) if step.if_missed == "stop"]
            assert all(walked.done for walked in must)


@given(days)
def test_no_step_is_done_twice_nor_begun_twice_but_after_a_press_went_down(acts: list[Act]) -> None:
    for piece in played(acts).floor.pieces.values():
        events = [row.event for row in piece.facts]
        done = Counter(event.step for event in events if isinstance(event, StepDone))
        begun = Counter(event.step for event in events if isinstance(event, StepStarted))
        interrupted = Counter(event.step for event in events if isinstance(event, StepInterrupted))
        assert all(times == 1 for times in done.values())
        assert all(times <= 1 + interrupted[step] for step, times in begun.items())


@given(days)
def test_every_step_before_the_one_that_a_piece_waits_for_is_behind_it(acts: list[Act]) -> None:
    def check(play: Play, _told: Told) -> None:
        for piece in play.floor.pieces.values():
            assert all(walked.over for walked in piece.walk[: piece.position])

    played(acts, check)


@given(days)
def test_no_print_counts_as_cured_before_its_time_in_the_press(acts: list[Act]) -> None:
    for piece in played(acts).floor.pieces.values():
        for step, walked in zip(piece.route, piece.walk, strict=True):
            if step.kind == "dwell" and walked.done:
                assert walked.started
                assert (walked.done - walked.started).total_seconds() >= step.min_s


@given(days)
def test_a_read_that_is_refused_or_repeated_changes_no_piece(acts: list[Act]) -> None:
    def check(play: Play, told: Told) -> None:
        if told.decision.answer.outcome in {"refused", "repeated"}:
            assert standing(play.floor) == told.before

    played(acts, check)


@given(days)
def test_a_read_changes_no_piece_but_the_one_it_is_about_and_those_in_a_press_that_went_down(acts: list[Act]) -> None:
    def check(play: Play, told: Told) -> None:
        now = standing(play.floor)
        changed = {code for code in told.before.keys() & now.keys() if told.before[code] != now[code]}
        broken_off = {fact.event.piece for fact in told.decision.facts if isinstance(fact.event, StepInterrupted)}
        assert changed <= {told.decision.answer.piece} | broken_off

    played(acts, check)


@given(days)
def test_as_many_pieces_are_under_way_or_finished_as_were_ordered(acts: list[Act]) -> None:
    for job in played(acts).floor.jobs.values():
        states = [piece.state for piece in job.pieces]
        if job.cancelled:
            assert "open" not in states
        else:
            assert states.count("open") + states.count("finished") == job.wanted


@given(days)
def test_the_open_pieces_are_those_that_are_open(acts: list[Act]) -> None:
    floor = played(acts).floor
    assert set(floor.open) == {code for code, piece in floor.pieces.items() if piece.state == "open"}


@given(days)
def test_the_same_rows_give_the_same_floor(acts: list[Act]) -> None:
    play = played(acts)
    assert fold_all(play.rows) == play.floor


UNDO_CARD = card(CodeType.COMMAND, UNDO)


@given(days)
def test_the_undo_card_brings_back_what_was_before(acts: list[Act]) -> None:
    def check(play: Play, told: Told) -> None:
        if not any(isinstance(fact.event, StepStarted | StepDone | PieceSpoiled) for fact in told.decision.facts):
            return
        later = Play(play.shop)
        later.floor, later.rows = fold_all(play.rows), list(play.rows)
        at = play.now - timedelta(seconds=told.read.late_s)
        answer = later.scan(UNDO_CARD, told.decision.facts[0].station, at=at)
        assert answer.good or told.read.late_s
        if answer.piece and answer.good:
            assert standing(later.floor) == told.before

    played(acts, check)
