"""Tanks and calibrations as tables in a terminal.

Never computes: what is shown is what `--json` answers.
"""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from rich.console import Group, RenderableType
from rich.text import Text

from floor.cli.tables import width
from floor.core.ink.calibration import Calibration
from floor.core.ink.tanks import Tanks
from floor.core.times.robust import ENOUGH
from floor.words.columns import figures, table, words
from shared.files.shop import Shop
from shared.wording import NO_FIGURE, moment, percent, quantity


def tanks_text(found: Sequence[Tanks], shop: Shop, now: datetime) -> RenderableType:
    """What is in the tanks of each ink, and until when it lasts."""
    zone = shop.hours.zone
    columns = [
        figures("last read,\nml", (quantity(each.level_ml) for each in found)),
        figures("\nat", (moment(each.at, now, zone) for each in found)),
        figures("refilled\nsince", (quantity(each.refilled_ml) for each in found)),
        figures("printed\nsince", (quantity(each.printed_ml) for each in found)),
        figures("expected\nnow", (quantity(each.expected_ml) for each in found)),
        figures("went in\n7 days", (quantity(each.week_ml) for each in found)),
        figures("\nruns out", (moment(each.runs_out, now, zone) for each in found)),
    ]
    return table(words("ink", (each.ink for each in found)), columns, width())


def calibration_text(found: Sequence[Calibration], accepted: bool) -> RenderableType:
    """What the readings of each ink say of the estimates."""
    columns = [
        figures("readings", (each.n for each in found)),
        figures("far out", (each.far for each in found)),
        figures("they say", (_factor(each.factor) for each in found)),
        figures(
            "one print is\noff by", (percent(None if each.spread is None else float(each.spread)) for each in found)
        ),
        figures("in force", (_factor(each.in_force) for each in found)),
    ]
    said = [Text(_said(each, accepted)) for each in found]
    return Group(table(words("ink", (each.ink for each in found)), columns, width()), *said)


def _factor(factor: Decimal | None) -> str:
    return NO_FIGURE if factor is None else f"× {factor.normalize():f}"


def _said(each: Calibration, accepted: bool) -> str:
    name = each.ink.capitalize()
    if each.factor is None:
        return f"{name}: {each.n} readings of estimated prints; from {ENOUGH} on they tell a factor."
    if not each.proposed:
        return f"{name}: estimates are multiplied by what the readings say."
    if accepted:
        return f"{name}: estimates are multiplied by {each.factor} from now on; jobs taken before keep their quotes."
    return f"{name}: to multiply estimates by {each.factor}: piecewalk ink calibrate {each.ink} --accept"
