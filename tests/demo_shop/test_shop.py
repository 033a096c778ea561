"""The files of the demo's shop are such as a shop would write."""

from pathlib import Path

import pytest

from demo_shop.artwork import PICTURES, draw_pictures
from demo_shop.day import CARE_AT, HANDS
from demo_shop.office import HERE, move_in
from demo_shop.staging import DATE, JOBS
from shared.files.jobfile import load_job
from shared.files.shop import Shop, load_shop


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    move_in(tmp_path / "shop")
    return tmp_path / "shop"


@pytest.fixture
def shop() -> Shop:
    return load_shop(HERE)


def test_the_shop_file_is_sound_and_everybody_has_a_place(shop: Shop) -> None:
    assert set(HANDS) == set(shop.stations)
    assert set(HANDS.values()) == set(shop.badges)
    assert CARE_AT in shop.stations


def test_every_station_has_a_scanner_or_is_served_by_the_one_that_roams(shop: Shop) -> None:
    fixed = [scanner.station for scanner in shop.file.scanners]
    assert fixed.count(None) == 1
    assert len(set(fixed)) == len(fixed)


def test_every_job_file_is_taken_and_is_sound(folder: Path, shop: Shop) -> None:
    files = {path.name: load_job(path, shop) for path in (folder / "orders").glob("*.toml")}
    assert set(files) == {name for name, _ in JOBS}
    assert sum(line.quantity for job in files.values() for line in job.lines) >= 40


def test_the_day_is_a_working_day_and_no_job_is_due_before_it(folder: Path, shop: Shop) -> None:
    assert shop.hours.week[DATE.weekday()]
    for path in (folder / "orders").glob("*.toml"):
        due = load_job(path, shop).due_in(shop.file.shop.zone)
        assert shop.hours.day_of(due) >= DATE


def test_pictures_are_drawn_alike_each_time_and_none_without_need(folder: Path, tmp_path: Path, shop: Shop) -> None:
    draw_pictures(tmp_path)
    assert all((tmp_path / name).read_bytes() == (folder / "orders" / name).read_bytes() for name in PICTURES)
    jobs = [load_job(path, shop) for path in (folder / "orders").glob("*.toml")]
    asked_for = {each.artwork for job in jobs for line in job.lines for each in line.prints}
    assert asked_for == set(PICTURES)
