"""What the demo's day leaves behind in the ledger."""

from collections import Counter
from datetime import timedelta
from itertools import pairwise
from typing import TypeVar

from demo_shop.day import HANDS
from floor.core.state.piece import Piece
from shared.events.base import PieceEvent
from shared.events.floor import AlarmCleared, AlarmRaised
from shared.events.reads import (
    CareDone,
    PieceSpoiled,
    ReadRefused,
    SignedIn,
    SignedOut,
    StationTaken,
    StepAssumed,
    StepDone,
    StepStarted,
    Undone,
)
from shared.events.recorded import Recorded
from tests.demo_shop.conftest import Again, PlayedDay

E = TypeVar("E")


def found(day: PlayedDay, kind: type[E]) -> list[tuple[Recorded, E]]:
    """The rows of one kind of event."""
    return [(row, row.event) for row in day.rows if isinstance(row.event, kind)]


def refused(day: PlayedDay, reason: str) -> tuple[Recorded, ReadRefused]:
    """The only read that was refused for a reason."""
    (only,) = [each for each in found(day, ReadRefused) if each[1].read.answer.reason == reason]
    return only


def piece_of(day: PlayedDay, event: PieceEvent | ReadRefused) -> Piece:
    """The piece that an event is about."""
    assert event.piece is not None
    return day.floor.pieces[event.piece]


def after(day: PlayedDay, row: Recorded, piece: Piece) -> list[Recorded]:
    """What happened to a piece after a row."""
    return [each for each in day.rows[row.seq :] if getattr(each.event, "piece", None) == piece.code]


def test_forty_pieces_and_more_are_walked_and_none_stays_open(day: PlayedDay) -> None:
    states = Counter(piece.state for piece in day.floor.pieces.values())
    assert states["finished"] >= 40
    assert states["open"] == states["cancelled"] == 0


def test_a_forgotten_scan_is_assumed_when_the_next_step_is_read(day: PlayedDay) -> None:
    assumed = found(day, StepAssumed)
    assert [event.event for _, event in assumed] == ["pretreated", "pretreated"]
    for row, event in assumed:
        following = day.rows[row.seq]
        assert isinstance(following.event, StepDone)
        assert (following.event.piece, following.event.event) == (event.piece, "underlayer printed")


def test_a_double_read_does_nothing_twice(day: PlayedDay) -> None:
    assert day.answer["reads"]["repeated"] == 3
    undone = {seq for _, event in found(day, Undone) for seq in event.rows}
    done = Counter((event.piece, event.step) for row, event in found(day, StepDone) if row.seq not in undone)
    assert set(done.values()) == {1}


def test_a_spoiled_piece_is_remade_to_the_end(day: PlayedDay) -> None:
    spoiled = found(day, PieceSpoiled)
    assert {event.reason for _, event in spoiled} == {"banding", "stain"}
    for _, event in spoiled:
        piece, remake = day.floor.pieces[event.piece], day.floor.pieces[event.remake]
        assert (remake.job, remake.line, remake.number, remake.size) == (
            piece.job,
            piece.line,
            piece.number,
            piece.size,
        )
        assert remake.state == "finished"


def test_a_spoiled_piece_was_read_after_its_reason(day: PlayedDay) -> None:
    texts = {event.piece: event.read.text for _, event in found(day, PieceSpoiled) if event.read}
    assert texts
    assert all(text.endswith(piece) for piece, text in texts.items())


def test_a_press_opened_too_early_is_refused_and_stays_closed_for_the_rest(day: PlayedDay) -> None:
    row, event = refused(day, "too-short")
    piece = piece_of(day, event)
    left_s = event.read.answer.seconds_left
    assert left_s is not None
    assert 0 < left_s < 180
    done = next(each for each in after(day, row, piece) if isinstance(each.event, StepDone))
    assert done.occurred_at >= row.occurred_at + timedelta(seconds=left_s)
    (alarm,) = [each for each in found(day, AlarmRaised) if each[1].alarm == "opened too early"]
    assert (alarm[0].occurred_at, alarm[1].subject) == (row.occurred_at, piece.code)


def test_a_missed_inspection_is_refused_and_made_good_before_colour(day: PlayedDay) -> None:
    row, event = refused(day, "missed-step")
    done = [each.event.event for each in after(day, row, piece_of(day, event)) if isinstance(each.event, StepDone)]
    assert done[:2] == ["inspected", "colour printed"]


def test_a_wrong_ticket_is_taken_back_and_its_piece_pretreated_later(day: PlayedDay) -> None:
    ((row, event),) = found(day, Undone)
    later = [each.event for each in after(day, row, piece_of(day, event)) if isinstance(each.event, StepDone)]
    assert later[0].event == "pretreated"


def test_a_piece_left_wet_is_told_of_at_its_limit_and_then_pressed(day: PlayedDay) -> None:
    ((row, event),) = [each for each in found(day, AlarmRaised) if each[1].alarm == "wet too long"]
    piece = day.floor.pieces[event.subject]
    printed = next(walked.done for step, walked in zip(piece.route, piece.walk, strict=True) if step.key == "colour")
    assert printed is not None
    assert row.occurred_at == printed + timedelta(minutes=20)
    assert any(isinstance(each.event, StepStarted) for each in after(day, row, piece))


def test_the_press_alarm_comes_at_the_very_moment_when_the_press_may_be_opened(day: PlayedDay) -> None:
    raised = [(row, event) for row, event in found(day, AlarmRaised) if event.alarm == "press open now"]
    assert len(raised) > 40
    for row, event in raised:
        piece = day.floor.pieces[event.subject]
        times = zip(piece.route, piece.walk, strict=True)
        opens = {walked.started + timedelta(seconds=step.min_s) for step, walked in times if walked.started}
        assert row.occurred_at in opens


def test_wet_pieces_are_pressed_in_the_order_in_which_their_limit_comes(day: PlayedDay) -> None:
    deadlines = []
    for _, event in found(day, StepStarted):
        piece = day.floor.pieces[event.piece]
        printed = piece.walk[event.step - 1].done
        assert printed is not None
        deadlines.append((printed, piece.code))
    (late,) = [event.subject for _, event in found(day, AlarmRaised) if event.alarm == "wet too long"]
    on_time = [printed for printed, code in deadlines if code != late]
    assert all(one <= other for one, other in pairwise(on_time))


def test_care_that_falls_due_is_done_and_its_alarm_goes(day: PlayedDay) -> None:
    ((row, event),) = found(day, CareDone)
    alarms = [(each.occurred_at, what) for each, what in found(day, AlarmRaised) if what.subject == event.task]
    assert alarms[0][0] < row.occurred_at
    cleared = [each.occurred_at for each, what in found(day, AlarmCleared) if what.subject == event.task]
    assert cleared == [row.occurred_at]


def test_a_label_that_is_no_code_of_ours_is_refused_and_kept(day: PlayedDay) -> None:
    _, event = refused(day, "not-a-code")
    assert event.read.text.endswith("2900417700019")


def test_one_scanner_roams_by_station_cards(day: PlayedDay) -> None:
    taken = found(day, StationTaken)
    assert {event.scanner for _, event in taken} == {"apron scanner"}
    assert {event.at_station for _, event in taken} == {"inspection", "packing"}


def test_everybody_signs_in_before_working_and_out_in_the_end(day: PlayedDay) -> None:
    assert {event.at_station: event.badge_name for _, event in found(day, SignedIn)} == HANDS
    assert {event.at_station for _, event in found(day, SignedOut)} == set(HANDS)
    assert all(row.badge == HANDS[row.station or ""] for row, _ in found(day, StepDone))


def test_the_scanners_are_of_several_makes(day: PlayedDay) -> None:
    """A scanner that sends the AIM prefix is heard with it."""
    prefixed = {row.device: event.read.text.startswith("]C0") for row, event in found(day, StepDone) if event.read}
    assert prefixed["printer 2 gun"]
    assert not prefixed["printer 1 gun"]


def test_at_lunch_only_presses_work_on_and_what_was_begun_is_ended(day: PlayedDay) -> None:
    hours = day.shop.hours
    assert all(row.station in day.shop.presses for row, _ in found(day, StepStarted))
    at_lunch = [row for row, _ in found(day, StepDone) if not hours.is_open(row.occurred_at)]
    ended = [row for row in at_lunch if row.station not in day.shop.presses]
    assert all(hours.is_open(row.occurred_at - timedelta(minutes=4)) for row in ended)


def test_there_are_dark_and_light_garments_tiles_and_one_line_with_two_places(day: PlayedDay) -> None:
    lines = [line for job in day.floor.jobs.values() for line in job.lines]
    assert {line.shade for line in lines} == {"dark", "light"}
    assert any("tile" in line.item for line in lines)
    assert [line.places for line in lines if len(line.places) > 1] == [("front", "back")]


def test_the_same_seed_plays_the_same_day_watched_or_not(day: PlayedDay, again: Again) -> None:
    assert [facts(row) for row in day.rows] == [facts(row) for row in again.rows]


def facts(row: Recorded) -> tuple[object, ...]:
    """All of a row but the id of its read."""
    return (row.seq, row.occurred_at, row.recorded_at, row.event, row.station, row.badge, row.device)
