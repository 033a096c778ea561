"""How long a job of a hundred lines takes to be quoted, from its parsed TOML to the answer; without pictures.

Run it: python -m tests.bench.bench_quote, or pytest -m bench tests/bench/bench_quote.py
"""

import json
import time
from typing import Any

import pytest

from floor.core.cost.quote import quote_answer, quoted_lines
from shared.files.jobfile import parse_job
from shared.files.shop import Shop, parse_shop
from tests.making import job_data, shop_data

LINES = 100
MOST_S = 0.1


def _shop() -> Shop:
    """A shop in which a quote takes all that it can: setup, a margin, breaks."""
    data = shop_data(breaks=[{"from_pieces": 10 * n, "off": f"0.0{n}"} for n in range(1, 9)])
    data["prices"]["margin"] = "0.55"
    for step in data["steps"].values():
        step["setup_s"] = 120
    return parse_shop(data)


def _job() -> dict[str, Any]:
    """Two places and five sizes on every line, and no price."""
    data = job_data(places=("front", "back"), sizes={"S": 2, "M": 9, "L": 8, "XL": 3, "2XL": 4})
    del data["lines"][0]["price_each"]
    data["lines"] *= LINES
    return data


def quoting_s(rounds: int = 5) -> float:
    """Seconds of processor time to check, quote and price the job; the best of some rounds."""
    shop, data = _shop(), _job()
    times = []
    for _ in range(rounds):
        start = time.process_time()
        quote_answer(quoted_lines(parse_job(data, shop), shop), shop.currency, shop.unit)
        times.append(time.process_time() - start)
    return min(times)


@pytest.mark.bench
def test_a_job_of_a_hundred_lines_is_quoted_in_a_tenth_of_a_second() -> None:
    assert quoting_s() <= MOST_S


if __name__ == "__main__":
    print(json.dumps({"lines": LINES, "quoting_s": quoting_s()}, indent=2))
