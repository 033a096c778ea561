"""A claim about time holds when one attempt holds, and fails when none does."""

import pytest

from tests.measured import ATTEMPTS, assert_within

FAR_TOO_LONG_S = 1e9
"""On however busy a machine."""


def test_the_first_attempt_that_is_in_time_is_the_last() -> None:
    attempts = iter([FAR_TOO_LONG_S, 0.5, FAR_TOO_LONG_S])
    assert_within(1, lambda: next(attempts))
    assert [*attempts] == [FAR_TOO_LONG_S]


def test_a_claim_that_never_holds_fails_and_says_what_was_measured() -> None:
    attempts = iter([FAR_TOO_LONG_S] * (ATTEMPTS + 1))
    with pytest.raises(pytest.fail.Exception, match=r"1 s were promised; 5 attempts took"):
        assert_within(1, lambda: next(attempts))
    assert [*attempts] == [FAR_TOO_LONG_S]
