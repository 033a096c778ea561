"""The ink of a week: what was drawn from the tanks, what was printed, what was lost.

Never hides a loss in a job.
"""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal

from floor.core.figures.data import InkWeek
from floor.core.ink.account import InkAccount, account
from floor.core.ink.use import printed
from floor.core.state.floor import Floor
from shared.money import rounded
from shared.route import INKS

_PLACE = Decimal("0.001")


def ink_week(floor: Floor, start: datetime, end: datetime) -> Mapping[str, InkWeek]:
    """The account of each ink, in thousandths of a millilitre; what is lost is what is drawn less what is printed."""
    prints = list(printed(floor))
    return {ink: _shown(account(floor.supplies.ink, prints, ink, start, end)) for ink in INKS}


def _shown(exact: InkAccount) -> InkWeek:
    printed_ml = rounded(exact.printed_ml, _PLACE)
    drawn_ml = None if exact.drawn_ml is None else rounded(exact.drawn_ml, _PLACE)
    return InkWeek(
        drawn_ml=drawn_ml,
        printed_ml=printed_ml,
        lost_ml=None if drawn_ml is None else drawn_ml - printed_ml,
        prints=exact.prints,
        read=exact.read,
    )
