"""Steps, routes, and what is done again for each place that is printed."""

from hypothesis import given
from hypothesis import strategies as st

from shared.route import Step, StepKind, places_repeated, times_round

kinds: st.SearchStrategy[StepKind] = st.sampled_from(["hand", "machine", "dwell"])


def step(key: str, kind: StepKind = "hand", place: str = "") -> Step:
    return Step(key=key, event=f"{key} done", kind=kind, scans="out", if_missed="assume", place=place)


DARK = [
    step("pretreat"),
    step("underlayer", "machine"),
    step("inspect"),
    step("colour", "machine"),
    step("cure", "dwell"),
    step("pack"),
]
routes = st.lists(kinds, max_size=8).map(lambda kinds: [step(f"s{n}", kind) for n, kind in enumerate(kinds)])
places = st.lists(st.sampled_from(["front", "back", "left sleeve", "neck"]), unique=True)


def test_a_step_is_called_by_its_key_and_its_place() -> None:
    assert step("cure").label == "cure"
    assert step("cure", place="back").label == "cure back"


def test_packing_belongs_to_the_whole_piece() -> None:
    assert times_round(DARK) == 5


def test_a_route_of_hands_alone_is_walked_once() -> None:
    assert times_round([step("fold"), step("pack")]) == 0


def test_front_and_back_are_each_printed_and_cured_and_packed_together() -> None:
    walked = [f"{each.key} {place}".strip() for each, place in places_repeated(DARK[3:], ["front", "back"])]
    assert walked == ["colour front", "cure front", "colour back", "cure back", "pack"]


def test_a_single_place_is_not_named() -> None:
    assert places_repeated(DARK, ["front"]) == [(each, "") for each in DARK]


@given(routes, places)
def test_every_step_is_walked_once_for_each_place_or_once_for_the_piece(route: list[Step], places: list[str]) -> None:
    walked = places_repeated(route, places)
    for n, each in enumerate(route):
        times = [place for other, place in walked if other == each]
        assert times == (places if len(places) > 1 and n < times_round(route) else [""])


@given(routes, places)
def test_steps_keep_their_order_within_a_place(route: list[Step], places: list[str]) -> None:
    walked = places_repeated(route, places)
    for place in places or [""]:
        keys = [each.key for each, where in walked if where in (place, "")]
        assert keys == [each.key for each in route]


@given(routes)
def test_no_machine_is_used_after_the_last_time_round(route: list[Step]) -> None:
    assert all(each.kind == "hand" for each in route[times_round(route) :])
