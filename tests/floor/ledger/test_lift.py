"""Old bodies in the newest shape."""

import msgspec
import pytest

from floor.ledger.errors import TooNew
from floor.ledger.lift import LIFTS, Body, in_newest_shape
from shared.events.recorded import BODY_VERSION


def _with_count(body: Body) -> Body:
    return {**body, "count": 1}


def _with_two_words(body: Body) -> Body:
    return {**body, "kind": "step done", "count": body["count"] + 1}


lifts = {("done", 1): _with_count, ("done", 3): _with_two_words}


@pytest.mark.parametrize(
    ("version", "old", "new"),
    [
        (1, {"kind": "done"}, {"kind": "step done", "count": 2}),
        (2, {"kind": "done", "count": 5}, {"kind": "step done", "count": 6}),
        (4, {"kind": "step done", "count": 5}, {"kind": "step done", "count": 5}),
        (1, {"kind": "other"}, {"kind": "other"}),
    ],
)
def test_a_body_goes_up_one_version_at_a_time(version: int, old: Body, new: Body) -> None:
    lifted = in_newest_shape(msgspec.json.encode(old).decode(), version, newest=4, lifts=lifts)
    assert msgspec.json.decode(lifted) == new


def test_a_body_from_the_future_is_refused() -> None:
    with pytest.raises(TooNew, match="version 5"):
        in_newest_shape("{}", 5, newest=4, lifts=lifts)


@pytest.mark.parametrize("body", ["[]", "7", '{"kind": '])
def test_an_old_body_that_is_no_object_is_told_apart(body: str) -> None:
    with pytest.raises(msgspec.MsgspecError):
        in_newest_shape(body, 1, newest=4, lifts=lifts)


def test_every_lift_starts_below_the_newest_version() -> None:
    assert all(version < BODY_VERSION for _, version in LIFTS)
