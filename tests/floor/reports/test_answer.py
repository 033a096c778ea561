"""The week's report as data: the keys that people's scripts rest on."""

import json
from decimal import Decimal
from typing import Any

import pytest

from floor.core.figures.job_columns import JOB_COLUMNS
from floor.core.figures.week import week_report
from floor.reports.answer import report_answer
from shared.money import ELEMENTS
from tests.making import Play, walk

FIGURES = {"n", "median", "p10", "p25", "p75", "p90", "mean", "derived", "assumed"}
JOB = {
    *("job", "customer", "finished", "spoiled", "quoted", "actual", "variance"),
    *("price", "margin_quoted", "margin_made"),
}


@pytest.fixture(scope="module")
def answer() -> dict[str, Any]:
    """A week with a finished piece, a spoiled one, and its remake."""
    play = Play()
    one, other = play.job(sizes={"M": 2})
    walk(play, one)
    play.scan(other, "pretreat booth")
    play.spoil(other, "pretreat booth")
    report = week_report(play.floor, play.shop, "2026-W48", play.now)
    return dict(json.loads(json.dumps(report_answer(report))))


def test_the_report_has_its_keys(answer: dict[str, Any]) -> None:
    assert {
        *("week", "currency", "finished", "spoiled", "open", "jobs", "total", "cycle_time_s", "steps"),
        *("first_pass_yield", "throughput_per_hour", "spoiled_by_reason", "late_jobs", "ink", "says"),
    } <= answer.keys()


def test_each_job_and_the_total_have_theirs(answer: dict[str, Any]) -> None:
    for job in (*answer["jobs"], answer["total"]):
        assert job.keys() >= JOB
        assert list(job["quoted"]) == list(job["actual"]) == [*ELEMENTS, "total"]


def test_each_job_has_every_column_of_the_other_forms_and_they_add_up(answer: dict[str, Any]) -> None:
    for job in (*answer["jobs"], answer["total"]):
        assert job.keys() >= {column.name for column in JOB_COLUMNS}
        lost = [job["variance"]["total"], job["abnormal_spoilage"], job["given_up_cost"]]
        assert Decimal(job["margin_quoted"]) - sum(map(Decimal, lost)) == Decimal(job["margin_made"])


def test_each_element_has_a_variance_by_price_and_by_quantity_and_all_have_a_total(answer: dict[str, Any]) -> None:
    for job in (*answer["jobs"], answer["total"]):
        *elements, total = job["variance"].items()
        assert [element for element, _ in elements] == list(ELEMENTS)
        assert all(parts.keys() == {"price", "quantity"} for _, parts in elements)
        assert total[0] == "total"


def test_money_is_told_as_strings(answer: dict[str, Any]) -> None:
    total = answer["total"]
    money = [total["price"], total["margin_made"], total["variance"]["total"], *total["quoted"].values()]
    assert {type(amount) for amount in money} == {str}


def test_times_are_told_as_figures_in_seconds(answer: dict[str, Any]) -> None:
    assert answer["cycle_time_s"].keys() == FIGURES
    for step in answer["steps"].values():
        assert step["queuing_s"].keys() == step["processing_s"].keys() == FIGURES


def test_moments_are_told_in_utc(answer: dict[str, Any]) -> None:
    assert (answer["week"], answer["start"]) == ("2026-W48", "2026-11-23T05:00:00Z")


def test_reasons_tell_pieces_and_cost(answer: dict[str, Any]) -> None:
    assert answer["spoiled_by_reason"].keys() == {"stain"}
    assert answer["spoiled_by_reason"]["stain"]["pieces"] == 1


def test_ink_is_told_for_white_and_colour(answer: dict[str, Any]) -> None:
    for ink in ("white", "colour"):
        assert answer["ink"][ink].keys() == {"drawn_ml", "printed_ml", "lost_ml", "prints", "read"}


def test_the_one_thing_that_matters_most_is_a_sentence(answer: dict[str, Any]) -> None:
    assert answer["says"] == answer["headlines"][0]["say"]
    assert answer["says"].endswith(".")
