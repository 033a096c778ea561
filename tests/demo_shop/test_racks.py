"""Which piece is taken first."""

from datetime import UTC, datetime, timedelta

import simpy

from demo_shop.racks import Carried, Racks
from tests.making import shop

DUE = datetime(2026, 11, 18, 12, 0, tzinfo=UTC)


def racks() -> tuple[simpy.Environment, Racks]:
    env = simpy.Environment()
    return env, Racks(env, shop())


def piece(code: str, *, at: int = 0, due: datetime = DUE) -> Carried:
    """A dark garment that waits for a step of its route."""
    return Carried(code, "J0001", shop().route("heavy tee", "dark", []), due, at=at)


def order(env: simpy.Environment, racks: Racks, station: str) -> list[str]:
    """Everything that waits at a station, in the order in which it is taken."""
    env.run()
    queue = racks.queue_at(station)
    taken = []
    while queue.items:
        item = env.run(until=queue.get())
        assert isinstance(item, simpy.PriorityItem)
        taken.append(item.item.code)
    return taken


UNDERLAYER, COLOUR, CURE, PACK = 1, 3, 4, 5


def test_the_printer_ends_what_was_begun_before_it_begins_another() -> None:
    env, where = racks()
    where.lay_out(piece("new", at=UNDERLAYER))
    where.lay_out(piece("half done", at=COLOUR))
    assert order(env, where, "printer 1") == ["half done", "new"]


def test_of_the_like_the_one_that_is_due_first_is_taken_first_then_the_one_that_waits_longest() -> None:
    env, where = racks()
    where.lay_out(piece("one", at=PACK))
    where.lay_out(piece("two", at=PACK))
    where.lay_out(piece("urgent", at=PACK, due=DUE - timedelta(hours=1)))
    assert order(env, where, "packing") == ["urgent", "one", "two"]


def test_a_piece_that_was_forgotten_wet_goes_before_those_that_were_not() -> None:
    env, where = racks()
    where.lay_aside(piece("forgotten", at=COLOUR))
    env.run(until=1500)
    where.lay_out(piece("fresh", at=CURE, due=DUE - timedelta(hours=1)))
    where.remember("forgotten")
    assert order(env, where, "press 1") == ["forgotten", "fresh"]


def test_what_was_never_forgotten_need_not_be_remembered() -> None:
    env, where = racks()
    where.remember("1000000137")
    assert order(env, where, "press 1") == []


def test_the_day_is_done_when_the_last_piece_goes_out_of_the_door() -> None:
    _, where = racks()
    where.expect(2)
    where.go_on(piece("one", at=PACK))
    assert not where.all_done.triggered
    where.go_on(piece("two", at=PACK))
    assert where.all_done.triggered
