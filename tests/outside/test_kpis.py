"""The time elements and ratios of ISO 22400-2:2014, "Automation systems and integration — Key performance indicators
(KPIs) for manufacturing operations management — Part 2".

Formulas as in the open ontology of the standard (hsu-aut/IndustrialStandard-ODP-ISO22400-2, version 2.0.0, MIT); that
AOET includes busy, transport and queuing time is in the OPC UA companion specification 40501-1, 19.3, too.
"""

from datetime import timedelta

import pytest
from hypothesis import given

from floor.core.times.cycle import Walks
from floor.core.times.elements import Elements, Quantities
from floor.core.times.use import JobTimes, job_times, station_uses
from tests.floor.plays import Act, days, played
from tests.making import Play

ORDER = Elements(
    production=timedelta(minutes=50),
    setup=timedelta(minutes=10),
    delay=timedelta(minutes=5),
    transport=timedelta(minutes=15),
    queuing=timedelta(minutes=40),
)
"""APT 50, AUST 10, ADET 5, ATT 15, AQT 40: the ratios below follow from the formulas by hand."""


def test_the_time_elements_add_up_as_the_standard_says() -> None:
    minute = timedelta(minutes=1)
    assert (ORDER.processing / minute, ORDER.busy / minute, ORDER.execution / minute) == (60, 65, 120)


def test_what_a_unit_was_used_for_is_told_by_the_ratios_of_the_standard() -> None:
    assert ORDER.utilization_efficiency == pytest.approx(50 / 65, rel=1e-12)
    assert ORDER.allocation_efficiency(timedelta(minutes=100)) == 0.65


def test_quantities_make_the_ratios_of_the_standard() -> None:
    made = Quantities(good=18_848, scrapped=423, inspected=200, passed=190)
    assert made.produced == 19_271
    assert made.quality_ratio == pytest.approx(0.97805, abs=5e-6)  # of a widely reprinted example; from memory
    assert (made.scrap_ratio, made.rework_ratio, made.first_pass_yield) == (423 / 19_271, 0, 0.95)


def test_of_nothing_there_is_no_ratio() -> None:
    none = Elements()
    assert (none.utilization_efficiency, none.allocation_efficiency(timedelta(0))) == (None, None)
    assert (Quantities().quality_ratio, Quantities().first_pass_yield) == (None, None)


# What must hold of the figures of any shop's ledger


def jobs_of(play: Play) -> list[JobTimes]:
    walks = Walks(play.floor, play.shop)
    found = (job_times(walks, play.shop.hours, job, play.now) for job in play.floor.jobs.values())
    return [times for times in found if times is not None]


@given(days)
def test_the_execution_time_of_a_job_is_its_busy_transport_and_queuing_time(acts: list[Act]) -> None:
    play = played(acts)
    for job in jobs_of(play):
        assert job.elapsed.execution == job.until - job.started
        assert job.working.execution == play.shop.hours.working(job.started, job.until)


@given(days)
def test_no_time_element_is_below_nothing_and_no_working_time_above_the_elapsed(acts: list[Act]) -> None:
    play = played(acts)
    stations = station_uses(Walks(play.floor, play.shop), play.shop, play.now - timedelta(days=7), play.now)
    pairs = [(job.working, job.elapsed) for job in jobs_of(play)] + [(use.working, use.elapsed) for use in stations]
    for working, elapsed in pairs:
        for name in Elements.__struct_fields__:
            assert timedelta(0) <= getattr(working, name) <= getattr(elapsed, name)


@given(days)
def test_a_station_is_busy_no_longer_than_it_was_planned_to_be(acts: list[Act]) -> None:
    play = played(acts)
    for use in station_uses(Walks(play.floor, play.shop), play.shop, play.now - timedelta(days=7), play.now):
        assert use.working.busy <= use.planned_busy
        assert sum(hour.busy_s for hour in use.hours) == pytest.approx(use.elapsed.busy.total_seconds())
        assert sum(hour.open_s for hour in use.hours) == pytest.approx(use.planned_busy.total_seconds())
