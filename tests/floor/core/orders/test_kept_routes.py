"""A changed shop file reaches no ticket that was made before: `check` says which pieces keep what."""

from floor.core.orders.kept_routes import KeptRoute, kept_routes
from shared.files.shop import Shop, parse_shop
from tests.making import DARK_WALK, Play, shop_data, walk


def shop_with(step: str, **changes: object) -> Shop:
    steps = shop_data()["steps"]
    return parse_shop(shop_data(steps={**steps, step: {**steps[step], **changes}}))


def test_where_the_shop_file_was_not_changed_nothing_is_kept() -> None:
    play = Play()
    play.job(places=("front", "back"))
    play.job(colour="white")
    assert kept_routes(play.floor, play.shop) == {}


def test_a_longer_dwell_does_not_reach_the_tickets_that_are_out() -> None:
    play = Play()
    pieces = [*play.job(sizes={"M": 2}), *play.job()]
    [(kept, on)] = kept_routes(play.floor, shop_with("cure", min_s=240)).items()
    assert kept == KeptRoute("cure", "min_s", "180", "240")
    assert (on.pieces, on.jobs) == (pieces, ["J0001", "J0002"])


def test_what_is_done_already_is_no_longer_told() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:-1])
    assert kept_routes(play.floor, shop_with("cure", min_s=240)) == {}


def test_settings_limits_and_what_stops_are_told_and_standard_times_are_not() -> None:
    play = Play()
    play.job(colour="white")
    after = shop_with("cure", settings={"temperature_c": 170}, wait_limit_s=600, if_missed="assume", touch_s=99)
    assert [kept[1:] for kept in kept_routes(play.floor, after)] == [
        ("cover", "parchment", None),
        ("if_missed", "stop", "assume"),
        ("temperature_c", "165", "170"),
        ("wait_limit_s", "1200", "600"),
    ]


def test_a_step_that_came_or_went_is_told() -> None:
    play = Play()
    play.job(colour="white")
    routes = {**shop_data()["routes"], "light garment": ["colour", "inspect", "pack"]}
    after = parse_shop(shop_data(routes=routes))
    assert list(kept_routes(play.floor, after)) == [
        KeptRoute("cure", "the step", "to be done", None),
        KeptRoute("inspect", "the step", None, "to be done"),
    ]


def test_an_item_that_the_shop_has_no_longer_is_passed_over() -> None:
    play = Play()
    play.job()
    items = {"tile": shop_data()["items"]["heavy tee"]}
    assert kept_routes(play.floor, parse_shop(shop_data(items=items))) == {}


def test_a_new_step_behind_the_piece_is_not_told() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:-1])
    data = shop_data()
    steps = {**data["steps"], "flash": data["steps"]["inspect"]}
    dark = ["pretreat", "flash", "underlayer", "inspect", "colour", "cure", "pack"]
    stations = [*data["stations"], {"name": "flash", "steps": ["flash"]}]
    routes = {**data["routes"], "dark garment": dark}
    after = parse_shop(shop_data(steps=steps, routes=routes, stations=stations))
    assert kept_routes(play.floor, after) == {}


def test_another_way_to_scan_a_step_is_told() -> None:
    play = Play()
    play.job(colour="white")
    assert KeptRoute("colour", "scans", "out", "in_out") in kept_routes(play.floor, shop_with("colour", scans="in_out"))
