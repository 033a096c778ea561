"""How figures are written for people."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from shared import wording

NEW_YORK = ZoneInfo("America/New_York")
NOW = datetime(2026, 11, 25, 19, 5, tzinfo=UTC)


@pytest.mark.parametrize(
    ("left_s", "shown"),
    [(125, "2:05"), (124.2, "2:05"), (0.4, "0:01"), (0, "0:00"), (-0.4, "+0:00"), (-31.9, "+0:31"), (-7500, "+125:00")],
)
def test_a_countdown_comes_to_nought_at_the_moment_itself_and_then_counts_up(left_s: float, shown: str) -> None:
    assert wording.countdown(left_s) == shown


@pytest.mark.parametrize(
    ("seconds", "shown"),
    [
        (None, "–"),
        (0, "0 min"),
        (59.9, "0 min"),
        (60, "1 min"),
        (3_599, "59 min"),
        (3_600, "1 h 00"),
        (90_000, "1 d 1 h"),
    ],
)
def test_a_wait_is_told_in_whole_minutes_that_have_passed(seconds: float | None, shown: str) -> None:
    assert wording.minutes(seconds) == shown


@pytest.mark.parametrize(
    ("seconds", "shown"),
    [
        (None, "–"),
        (0.4, "0 s"),
        (0.5, "1 s"),
        (59.6, "1 min 00 s"),
        (125, "2 min 05 s"),
        (7_499, "2 h 04"),
        (277_200, "3 d 5 h"),
    ],
)
def test_a_duration_is_told_in_two_units(seconds: float | None, shown: str) -> None:
    assert wording.duration(seconds) == shown


@pytest.mark.parametrize(
    ("seconds", "limit_s", "shown"),
    [(1_079, 1_200, "17 of 20 min"), (60, 90, "1 of 1.5 min"), (60, None, "1 min"), (90_000, 1_200, "1 d 1 h")],
)
def test_a_wait_is_told_against_its_limit(seconds: float, limit_s: float | None, shown: str) -> None:
    assert wording.of_limit(seconds, limit_s) == shown


@pytest.mark.parametrize(
    ("days", "shown"), [(0, "14:05"), (1, "Thu 14:05"), (-1, "Tue 14:05"), (6, "Tue 14:05"), (8, "3 Dec 14:05")]
)
def test_a_moment_says_its_day_only_if_it_is_another(days: int, shown: str) -> None:
    assert wording.moment(NOW + timedelta(days=days), NOW, NEW_YORK) == shown


def test_whether_it_is_another_day_is_for_the_shops_zone_to_say() -> None:
    late = datetime(2026, 11, 26, 3, 0, tzinfo=UTC)
    assert wording.moment(late, NOW, NEW_YORK) == "22:00"
    assert wording.moment(late, NOW, ZoneInfo("UTC")) == "Thu 03:00"


def test_the_next_few_hours_are_told_by_the_clock_and_what_is_further_off_by_its_day() -> None:
    assert wording.time_or_day(NOW + timedelta(hours=12), NOW, NEW_YORK) == "02:05"
    assert wording.time_or_day(NOW + timedelta(days=2), NOW, NEW_YORK) == "Fri"


@pytest.mark.parametrize(
    ("amount", "currency", "money", "figure"),
    [
        ("1234.5", "USD", "$1,234.50", "1,234.50"),
        ("2.665", "USD", "$2.67", "2.67"),
        ("-2", "EUR", "-€2.00", "-2.00"),
        ("1234.5", "JPY", "¥1,235", "1,235"),
        ("5", "GBP", "£5.00", "5.00"),
    ],
)
def test_money_has_the_places_of_its_currency_and_is_rounded_half_away_from_nought(
    amount: str, currency: str, money: str, figure: str
) -> None:
    assert wording.money(Decimal(amount), currency) == money
    assert wording.figure(amount, currency) == figure


def test_a_currency_of_thousandths_has_three_places() -> None:
    assert wording.figure("5", "KWD") == "5.000"


def test_shares_and_quantities() -> None:
    assert wording.percent(0.9425) == "94.3 %"
    assert wording.percent(None) == "–"
    assert wording.quantity(Decimal("1204.55")) == "1,204.6"
    assert wording.quantity(None) == "–"


def test_a_moment_that_must_not_be_mistaken_has_its_seconds_and_its_offset() -> None:
    hours = (datetime(2026, 11, 1, hour, 30, 9, tzinfo=UTC) for hour in (5, 6))
    assert [wording.exact_moment(at, NEW_YORK) for at in hours] == [
        "Sun 1 Nov 2026 01:30:09 -04:00",
        "Sun 1 Nov 2026 01:30:09 -05:00",
    ]


def test_another_locale_has_its_own_signs_and_names() -> None:
    at = datetime(2026, 11, 27, 14, 0, tzinfo=UTC)
    assert wording.figure(Decimal("1234.5"), "EUR", "de") == "1.234,50"
    assert wording.quantity(Decimal("1204.5"), locale="de") == "1.204,5"
    assert wording.percent(0.942, "de") == "94,2 %"
    assert wording.moment(at, NOW, NEW_YORK, "de") == "Fr. 09:00"
    assert wording.moment(at + timedelta(days=20), NOW, NEW_YORK, "de") == "17. Dez. 09:00"
    assert wording.day_and_time(at, NEW_YORK, "de") == "Fr. 27. Nov. 09:00"
    assert wording.full_moment(at, NEW_YORK, "de") == "Fr. 27. Nov. 2026 09:00"


@pytest.mark.parametrize(
    ("seconds", "shown"), [(45, "45 s"), (7_500, "2 h 05"), (86_399.6, "24 h 00"), (149_400, "41 h 30")]
)
def test_a_time_in_opening_hours_is_never_told_in_days(seconds: float, shown: str) -> None:
    assert wording.working_time(seconds) == shown


@pytest.mark.parametrize(("amount", "shown"), [("21.5", "21.50"), ("0.125", "0.125"), ("1234.5625", "1,234.5625")])
def test_a_price_of_one_is_told_as_it_was_agreed(amount: str, shown: str) -> None:
    assert wording.price_figure(amount, "USD") == shown
