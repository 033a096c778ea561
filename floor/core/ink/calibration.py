"""Calibration: what the shop's own readings say of the estimates of ink.

Never changes a factor: it proposes one, and a person accepts it.
"""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from math import exp, log
from operator import attrgetter

from msgspec import Struct

from floor.core.ink.use import Printed, printed
from floor.core.state.floor import Floor
from floor.core.times.robust import ENOUGH, centre, deviation, without_far
from shared.events.recorded import Fact
from shared.events.supplies import InkCalibrated
from shared.money import rounded
from shared.route import INKS, InkName
from shared.wish import NotPossible

NEWEST = 200
"""So many of the newest readings are looked at: a printer changes."""
LEAST, MOST = Decimal("0.2"), Decimal(5)
"""A factor outside of these is no calibration: a wrong unit, a wrong laydown."""
PLACES = Decimal("0.0001")


class Calibration(Struct, frozen=True, kw_only=True):
    """What the readings of one ink say: a factor for estimates, and how far a single print lies from them.

    `n` readings of prints that had been estimated, `far` of them so far out that they are left aside. `factor` and
    `spread` (one standard deviation, as a share) are None with too few readings. `proposed` says whether the factor
    differs from the one in force.
    """

    ink: InkName
    n: int
    far: int
    factor: Decimal | None
    spread: Decimal | None
    in_force: Decimal

    @property
    def proposed(self) -> bool:
        return self.factor is not None and self.factor != self.in_force


def calibrations(floor: Floor, now: datetime) -> list[Calibration]:
    """What the newest readings of each ink say.

    Readings are held against estimates as they were before any factor, so a factor that is accepted changes nothing
    of what the same readings say.
    """
    every = [each for each in printed(floor) if each.measured and each.ml and each.estimated_ml]
    return [calibration(ink, every, floor.supplies.ink.factor_at(ink, now)) for ink in INKS]


def calibration(ink: InkName, readings: Iterable[Printed], in_force: Decimal) -> Calibration:
    """What the readings of one ink say: the centre of the ratios of reading to estimate, in logarithms."""
    newest = sorted((each for each in readings if each.ink == ink), key=attrgetter("at"))[-NEWEST:]
    ratios = [log(each.ml / each.estimated_ml) for each in newest if each.estimated_ml]
    if len(ratios) < ENOUGH:
        return Calibration(ink=ink, n=len(ratios), far=0, factor=None, spread=None, in_force=in_force)
    kept = without_far(ratios)
    return Calibration(
        ink=ink,
        n=len(ratios),
        far=len(ratios) - len(kept),
        factor=rounded(Decimal(exp(centre(kept))), PLACES),
        spread=rounded(Decimal(exp(deviation(ratios)) - 1), PLACES),
        in_force=in_force,
    )


def accepted(found: Iterable[Calibration], now: datetime) -> list[Fact]:
    """The proposals among what was found, put in force. Raises NotPossible where there is none."""
    proposals = [each for each in found if each.proposed]
    if not proposals:
        raise NotPossible(
            "No factor is proposed: there are too few readings, or they say what is in force. See: ink read"
        )
    return [Fact(event=_event(each), occurred_at=now) for each in proposals]


def _event(each: Calibration) -> InkCalibrated:
    factor, spread = each.factor, each.spread
    assert factor is not None, "only what has a factor is proposed"
    assert spread is not None, "a factor comes with its spread"
    if not LEAST <= factor <= MOST:
        raise NotPossible(
            f"A factor of {factor} for {each.ink} ink is no calibration; allowed is {LEAST} to {MOST}. "
            "Check the unit of the readings, and the laydown in the shop file."
        )
    return InkCalibrated(ink=each.ink, factor=factor, n=each.n, spread=spread)
