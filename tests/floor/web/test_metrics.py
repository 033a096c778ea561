"""Figures for machines that watch the floor."""

from datetime import timedelta

import pytest
from prometheus_client.parser import text_string_to_metric_families

from floor.ledger import Unavailable
from shared.scan import Answer, Scan
from tests.floor.web.rig import House, read


def figures(house: House) -> dict[str, float]:
    """Every figure by its name, with its labels."""
    text = house.get("/metrics").body.decode()
    return {
        sample.name + "".join(f"{{{value}}}" for value in sample.labels.values()): sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
    }


def test_reads_are_counted_by_their_outcome(house: House) -> None:
    house.post(read(1, house.job()[0], station="pretreat booth"))
    house.post(read(2, "not a code"))
    found = figures(house)
    assert found["piecewalk_scans_total{accepted}"] == 1
    assert found["piecewalk_scans_total{refused}"] == 1
    assert found["piecewalk_scans_total{started}"] == 0


def test_every_read_is_timed(house: House) -> None:
    house.post(*(read(n, str(n)) for n in range(7)))
    found = figures(house)
    assert found["piecewalk_scan_seconds_count"] == found["piecewalk_scan_seconds_bucket{+Inf}"] == 7
    assert found["piecewalk_scan_seconds_sum"] > 0


def test_a_read_that_could_not_be_recorded_is_counted_as_such(house: House) -> None:
    def fail(_: Scan) -> Answer:
        raise Unavailable("no")

    house.scan = fail
    house.post(read())
    assert figures(house)["piecewalk_scans_not_recorded_total"] == 1


def test_the_floor_itself_is_measured(house: House) -> None:
    house.job(pieces=3)
    house.clock.advance(timedelta(seconds=30))
    found = figures(house)
    assert found["piecewalk_open_pieces"] == 3
    assert found["piecewalk_ledger_rows"] == len(house.rows())
    assert found["piecewalk_last_append_age_seconds"] == 30
    assert found["piecewalk_ledger_up"] == 1


def test_no_label_names_a_piece_a_job_or_a_person(house: House) -> None:
    (code,) = house.job()
    house.post(read(1, code, station="pretreat booth", badge="A"))
    text = house.get("/metrics").body.decode()
    assert "pretreat booth" not in text
    assert code not in text


def test_they_come_without_a_redirect_in_the_form_that_is_asked_for(house: House) -> None:
    reply = house.get("/metrics")
    assert reply.status == 200
    assert reply.headers["content-type"].startswith("text/plain; version=")


@pytest.mark.parametrize(("client", "status"), [("127.0.0.1", 200), ("::1", 200), ("192.168.0.9", 403)])
def test_they_are_for_the_floors_own_machine(house: House, client: str, status: int) -> None:
    assert house.get("/metrics", client=client).status == status


@pytest.mark.parametrize("headers", [{"Host": "192.168.0.9"}, {"X-Forwarded-For": "10.0.0.9"}, {"Via": "1.1 proxy"}])
def test_the_figures_are_for_this_machine_by_its_own_name_alone(house: House, headers: dict[str, str]) -> None:
    """A browser of this machine asks by a name that somebody else gave it, or a proxy for somebody else."""
    assert house.get("/metrics", headers=headers).status == 403
