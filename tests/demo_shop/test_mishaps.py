"""What is planned to go wrong."""

from collections import Counter
from datetime import UTC, datetime

import pytest

from demo_shop.mishaps import MISHAPS, plan
from demo_shop.racks import Carried
from shared.route import Route
from tests.making import shop

DUE = datetime(2026, 11, 18, 12, 0, tzinfo=UTC)


def pieces() -> list[Carried]:
    """Twelve dark garments and twelve light ones."""
    return [Carried(f"{shade} {n}", "J0001", _route(shade), DUE) for shade in ("dark", "light") for n in range(12)]


def _route(shade: str) -> Route:
    return shop().route("heavy tee", "dark" if shade == "dark" else "light", [])


@pytest.mark.parametrize("seed", range(20))
def test_everything_happens_as_often_as_it_should_and_never_twice_to_one_piece(seed: int) -> None:
    planned = plan(pieces(), seed)
    assert Counter(planned.values()) == {mishap.happens: mishap.times for mishap in MISHAPS}
    assert len({code for code, _ in planned}) == len(planned)


@pytest.mark.parametrize("seed", range(20))
def test_a_mishap_meets_only_a_piece_whose_route_has_the_step(seed: int) -> None:
    routes = {piece.code: [step.label for step in piece.route] for piece in pieces()}
    assert all(label in routes[code] for code, label in plan(pieces(), seed))


def test_a_press_is_opened_too_early_only_where_there_is_time_for_it() -> None:
    early = [mishap for mishap in MISHAPS if mishap.min_s]
    for seed in range(20):
        planned = {what: code for (code, _), what in plan(pieces(), seed).items()}
        assert [planned[mishap.happens].split()[0] for mishap in early] == ["dark"]


def test_another_seed_is_another_day() -> None:
    assert plan(pieces(), 1) == plan(pieces(), 1)
    assert len({tuple(plan(pieces(), seed)) for seed in range(5)}) == 5
