"""Quotes of body version 1: the same charges, known by what people read."""

from collections.abc import Iterable
from typing import Any

import msgspec
import pytest

from floor.core.cost.quote import quoted_lines
from floor.ledger.lift import in_newest_shape, lifted
from shared.events.jobs import JobAdded
from shared.events.recorded import from_json, to_json
from shared.files.jobfile import parse_job
from shared.files.shop import parse_shop
from shared.money import Charge, Costing
from tests.making import MONDAY, job_data, shop_data


def taken(*, places: Iterable[str], setup_s: float = 0, check: bool = False) -> JobAdded:
    """A job as it is taken today."""
    data = shop_data()
    data["steps"]["colour"]["setup_s"] = setup_s
    if check:
        data["steps"]["setup check"] = {**data["steps"]["pretreat"], "event": "checked"}
        data["routes"]["dark garment"].insert(0, "setup check")
        data["stations"][0]["steps"].append("setup check")
    shop = parse_shop(data)
    lines = quoted_lines(parse_job(job_data(places=places, sizes={"M": 2, "L": 1}), shop), shop)
    return JobAdded(job="J0001", customer="club", due=MONDAY, currency="USD", lines=lines)


def as_it_was_written(job: JobAdded) -> str:
    """Its body as version 1 had it."""
    body: dict[str, Any] = msgspec.json.decode(to_json(job))
    for line, old in zip(job.lines, body["lines"], strict=True):
        old["quoted"] = {size: _old(costing) for size, costing in line.quoted.items()}
    return msgspec.json.encode(body).decode()


def _old(costing: Costing) -> list[dict[str, str]]:
    return [_old_charge(charge) for charge in costing]


def _old_charge(charge: Charge) -> dict[str, str]:
    what = {"element": charge.element, "what": charge.kind.what}
    return {**what, "quantity": str(charge.quantity), "price": str(charge.price)}


@pytest.mark.parametrize("places", [["front"], ["front", "back"], ["left", "upper left"]])
@pytest.mark.parametrize("setup_s", [0, 240])
@pytest.mark.parametrize("check", [False, True])
def test_an_old_quote_has_the_charges_that_it_would_have_today(places: list[str], setup_s: float, check: bool) -> None:
    job = taken(places=places, setup_s=setup_s, check=check)
    assert lifted(as_it_was_written(job), 1) == job


def test_what_is_taken_out_of_a_job_s_cost_keeps_its_name() -> None:
    [*_, allowance] = taken(places=["front"]).lines[0].quoted["M"]
    assert (allowance.element, allowance.loss) == ("spoilage", "allowance")


def test_a_body_of_another_kind_is_read_as_it_is() -> None:
    body = '{"kind":"job held","job":"J0001","why":"no blanks"}'
    assert from_json(in_newest_shape(body, 1)) == lifted(body, 1)
