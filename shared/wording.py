"""How durations, moments, money and shares are written for people, the same wherever they are shown.

Never rounds money by itself: shared.money says how.
"""

from datetime import datetime, tzinfo
from decimal import Decimal
from math import ceil

from babel.dates import format_datetime
from babel.numbers import format_currency, format_decimal, format_percent

from shared.money import minor_unit, rounded

LOCALE = "en"
"""Of what is said in a terminal; pages and papers have the shop's own."""
DAY_OF_MONTH = {"de": "d."}
"""How a locale writes the day of a month, where that is no bare number."""
NO_FIGURE = "–"
"""Stands where there is no figure."""

MINUTE_S = 60
HOUR_S = 3_600
DAY_S = 86_400
WEEK_DAYS = 6
HALF_YEAR_DAYS = 183
MINUTES_MAX = 1_000
"""Beyond so many minutes nobody reads minutes."""


def spaced(key: str) -> str:
    """A key as people say it: "white ink"."""
    return key.replace("_", " ")


def countdown(left_s: float) -> str:
    """Minutes and seconds that are left: "2:05". Below zero, how far over: "+0:31".

    Rounded so that it comes to 0:00 at the moment itself and not before.
    """
    whole_min, rest_s = divmod(abs(ceil(left_s)), MINUTE_S)
    return f"{'+' if left_s < 0 else ''}{whole_min}:{rest_s:02}"


def minutes(seconds: float | None) -> str:
    """A wait as a wall shows it, in whole minutes that have passed: "12 min", "2 h 05", "3 d 4 h"."""
    if seconds is None:
        return NO_FIGURE
    if seconds < HOUR_S:
        return f"{seconds // MINUTE_S:.0f} min"
    return _long(int(seconds))


def of_limit(seconds: float, limit_s: float | None, between: str = " of ") -> str:
    """A wait against its limit: "12 of 20 min"; without a limit, or far beyond it, the wait alone."""
    if limit_s is None or seconds >= MINUTES_MAX * MINUTE_S:
        return minutes(seconds)
    return f"{seconds // MINUTE_S:.0f}{between}{limit_s / MINUTE_S:.3g} min"


def duration(seconds: float | None) -> str:
    """A duration in two units: "45 s", "12 min 05 s", "2 h 05", "3 d 4 h"."""
    if seconds is None:
        return NO_FIGURE
    whole = int(rounded(Decimal(seconds), Decimal(1)))
    if whole < MINUTE_S:
        return f"{whole} s"
    if whole < HOUR_S:
        return f"{whole // MINUTE_S} min {whole % MINUTE_S:02} s"
    return _long(whole)


def working_time(seconds: float) -> str:
    """A time in opening hours, or paid: as a duration, but never in days, for a day of work is no day: "41 h 30"."""
    whole = int(rounded(Decimal(seconds), Decimal(1)))
    return duration(whole) if whole < DAY_S else _hours(whole)


def _long(whole_s: int) -> str:
    return _hours(whole_s) if whole_s < DAY_S else f"{whole_s // DAY_S} d {whole_s % DAY_S // HOUR_S} h"


def _hours(whole_s: int) -> str:
    return f"{whole_s // HOUR_S} h {whole_s % HOUR_S // MINUTE_S:02}"


def moment(at: datetime | None, now: datetime, zone: tzinfo, locale: str = LOCALE) -> str:
    """A moment near the present: "16:00" today, "Thu 16:00" within a week, else "3 Dec 16:00".

    In half a year or more the month alone would mislead: "3 Dec 2027".
    """
    if at is None:
        return NO_FIGURE
    days = abs((at.astimezone(zone).date() - now.astimezone(zone).date()).days)
    near = "HH:mm" if days == 0 else "EEE HH:mm" if days <= WEEK_DAYS else "d MMM HH:mm"
    return _written(at, near if days < HALF_YEAR_DAYS else "d MMM y", zone, locale)


def time_or_day(at: datetime, now: datetime, zone: tzinfo) -> str:
    """The next few hours by the clock, "14:09"; what lies further off by its day, "Thu"."""
    near = abs((at - now).total_seconds()) < DAY_S
    return format_datetime(at, "HH:mm" if near else "EEE", zone, LOCALE)


def day_and_time(at: datetime, zone: tzinfo, locale: str = LOCALE) -> str:
    """A moment with its day: "Wed 25 Nov 14:05"."""
    return _written(at, "EEE d MMM HH:mm", zone, locale)


def day(at: datetime, zone: tzinfo, locale: str = LOCALE) -> str:
    """A day: "Mon 23 Nov 2026"."""
    return _written(at, "EEE d MMM y", zone, locale)


def full_moment(at: datetime, zone: tzinfo, locale: str = LOCALE) -> str:
    """A moment that may lie anywhere: "Wed 25 Nov 2026 14:05"."""
    return _written(at, "EEE d MMM y HH:mm", zone, locale)


def exact_moment(at: datetime, zone: tzinfo, locale: str = LOCALE) -> str:
    """A moment that must not be mistaken: "Wed 25 Nov 2026 14:05:09 -05:00"."""
    return _written(at, "EEE d MMM y HH:mm:ss xxx", zone, locale)


def _written(at: datetime, pattern: str, zone: tzinfo, locale: str) -> str:
    return format_datetime(at, pattern.replace("d ", f"{DAY_OF_MONTH.get(locale, 'd')} "), zone, locale)


def money(amount: Decimal, currency: str, locale: str = LOCALE) -> str:
    """An amount with its currency: "$1,234.50", "-€2.00"."""
    return format_currency(rounded(amount, minor_unit(currency)), currency, locale=locale)


def price(amount: Decimal, currency: str, locale: str = LOCALE) -> str:
    """A price of one, as it was agreed: "$21.50", and where it has more digits "$0.125"."""
    return format_currency(amount, currency, locale=locale, decimal_quantization=False)


def figure(amount: Decimal | str, currency: str, locale: str = LOCALE) -> str:
    """An amount for a column whose heading names the currency: "1,234.50"."""
    exact = rounded(Decimal(amount), minor_unit(currency))
    return format_currency(exact, currency, "#,##0.00", locale=locale, currency_digits=True)


def price_figure(amount: Decimal | str, currency: str, locale: str = LOCALE) -> str:
    """A price of one for such a column, as it was agreed: "21.50", and where it has more digits "0.125"."""
    exact = Decimal(amount)
    whole = rounded(exact, minor_unit(currency)) == exact
    return (
        figure(exact, currency, locale) if whole else format_decimal(exact, locale=locale, decimal_quantization=False)
    )


def quantity(amount: Decimal | float | None, places: int = 1, locale: str = LOCALE) -> str:
    """A quantity with so many decimal places: "1,204.5"."""
    if amount is None:
        return NO_FIGURE
    exact = rounded(Decimal(amount), Decimal(1).scaleb(-places))
    return format_decimal(exact, "#,##0." + "0" * places, locale=locale)


def percent(share: float | None, locale: str = LOCALE) -> str:
    """A share of one: "94.2 %"."""
    if share is None:
        return NO_FIGURE
    return format_percent(rounded(Decimal(share), Decimal("0.001")), "#,##0.0 %", locale=locale)
