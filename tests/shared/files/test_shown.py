"""Files that people wrote after the examples of the documentation go on being read."""

import tomllib

from shared.files.jobfile import parse_job
from shared.files.shop import parse_shop
from tests.shared.files.shown import JOB, SHOP


def test_a_shop_file_that_people_were_shown_still_loads() -> None:
    shop = parse_shop(tomllib.loads(SHOP))
    assert shop.name == "Kittiwake Print Room"
    route = shop.route("heavy tee", "light", [])
    assert [(step.key, step.min_s) for step in route] == [("colour", 0), ("cure", 60), ("pack", 0)]
    assert shop.file.steps["cure"].wait_limit_s == 1200


def test_a_job_file_that_people_were_shown_still_loads() -> None:
    job = parse_job(tomllib.loads(JOB), parse_shop(tomllib.loads(SHOP)))
    assert (job.customer, job.lines[0].quantity) == ("Harbour rowing club", 26)
    assert job.lines[0].prints[0].width_mm == 305
