"""The tanks of an ink: what was in them, what went in and out since, and when they will be empty.

Never takes an expected level for a level that was read.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from decimal import Decimal

from msgspec import Struct

from floor.core.ink.account import account, printed_between, refilled_between
from floor.core.ink.use import Printed, printed
from floor.core.state.floor import Floor
from shared.events.recorded import Fact
from shared.events.supplies import InkLevelRead, InkRefilled
from shared.files.shop import Shop
from shared.hours import Hours
from shared.route import INKS, InkName
from shared.wish import NotPossible

LOOK_BACK = timedelta(days=7)
AHEAD_MAX = timedelta(days=366)
"""Nobody plans ink further ahead."""


class Tanks(Struct, frozen=True, kw_only=True):
    """All the tanks of one ink, millilitres. What follows from a level is None until one is read.

    `week_ml` is what went in the last seven days, with what is known to be lost; `runs_out` is when the tanks will be
    empty if that goes on in the opening hours, None where it is more than a year away or nothing was printed.
    """

    ink: InkName
    level_ml: Decimal | None = None
    at: datetime | None = None
    refilled_ml: Decimal | None = None
    printed_ml: Decimal | None = None
    expected_ml: Decimal | None = None
    week_ml: Decimal
    runs_out: datetime | None = None


def tanks(floor: Floor, shop: Shop, now: datetime) -> list[Tanks]:
    """The tanks of each ink at a moment."""
    prints = list(printed(floor))
    return [_tanks(floor, shop.hours, ink, [each for each in prints if each.ink == ink], now) for ink in INKS]


def _tanks(floor: Floor, hours: Hours, ink: InkName, prints: Sequence[Printed], now: datetime) -> Tanks:
    book = floor.supplies.ink
    recent = account(book, prints, ink, now - LOOK_BACK, now)
    week_ml = recent.printed_ml if recent.drawn_ml is None else recent.drawn_ml
    last = next((each for each in reversed(book.levels_of(ink)) if each.at <= now), None)
    if last is None:
        return Tanks(ink=ink, week_ml=week_ml)
    refilled, used = refilled_between(book, ink, last.at, now), printed_between(prints, last.at, now)
    expected = last.amount + refilled - used
    return Tanks(
        ink=ink,
        level_ml=last.amount,
        at=last.at,
        refilled_ml=refilled,
        printed_ml=used,
        expected_ml=expected,
        week_ml=week_ml,
        runs_out=_runs_out(hours, expected, week_ml, now),
    )


def _runs_out(hours: Hours, left_ml: Decimal, week_ml: Decimal, now: datetime) -> datetime | None:
    """When what is left will be gone, at the rate of the last seven days, in working time."""
    worked = hours.working(now - LOOK_BACK, now)
    if week_ml <= 0 or not worked:
        return None
    share = max(left_ml, Decimal(0)) / week_ml
    return None if share * LOOK_BACK.days > AHEAD_MAX.days else hours.add_working(now, worked * float(share))


def refill(floor: Floor, shop: Shop, ink: InkName, ml: Decimal, at: datetime) -> Fact:
    """Ink was filled in; nothing, where that takes back the refill of that moment. Raises NotPossible."""
    _check_amount(shop, ink, ml)
    if not ml and at not in {each.at for each in floor.supplies.ink.refilled(ink)}:
        raise NotPossible("Nothing was filled in. To take a refill back, say its moment with --at.")
    return Fact(event=InkRefilled(ink=ink, ml=ml), occurred_at=at)


def level(shop: Shop, ink: InkName, ml: Decimal, at: datetime) -> Fact:
    """The tanks were measured. Raises NotPossible."""
    _check_amount(shop, ink, ml)
    return Fact(event=InkLevelRead(ink=ink, ml=ml), occurred_at=at)


def _check_amount(shop: Shop, ink: InkName, ml: Decimal) -> None:
    most = shop.file.inks.of(ink).tank_ml
    if not 0 <= ml <= most:
        raise NotPossible(
            f"{ml} ml of {ink} ink cannot be; allowed is 0 to {most} ml, what its tanks hold. "
            f"If they hold more, set tank_ml of {ink} in [inks] of the shop file."
        )
