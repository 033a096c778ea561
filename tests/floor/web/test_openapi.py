"""The description of the interface says what is really done."""

import re
from typing import Any

import pytest

from floor.web.openapi import openapi
from tests.floor.web.rig import House, read


def test_it_is_served(house: House) -> None:
    reply = house.get("/api/openapi.json")
    assert (reply.status, reply.json["openapi"]) == (200, "3.1.0")
    assert reply.json == openapi()


def test_every_path_of_the_application_that_is_for_programs_is_described(house: House) -> None:
    paths = {route.path for route in house.app.routes}  # type: ignore[attr-defined]
    for_programs = {path for path in paths if path.startswith(("/api/", "/healthz", "/readyz"))} - {"/api/openapi.json"}
    assert for_programs == set(openapi()["paths"])


def test_every_shape_that_is_named_is_described() -> None:
    description = openapi()
    named = set(re.findall(r"#/components/schemas/(\w+)", str(description)))
    assert named == set(description["components"]["schemas"])


def test_a_read_has_the_keys_that_are_described(house: House) -> None:
    shape = openapi()["components"]["schemas"]["Delivery"]
    assert set(shape["required"]) <= set(read()) <= set(shape["properties"])
    for key in shape["required"]:
        without: dict[str, Any] = {name: value for name, value in read().items() if name != key}
        assert house.post(without).error["what"] == f"Object missing required field `{key}`"


@pytest.mark.parametrize("status", ["400", "401", "409", "413", "422", "503"])
def test_every_refusal_is_described(status: str) -> None:
    assert status in openapi()["paths"]["/api/scans"]["post"]["responses"]
