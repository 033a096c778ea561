"""How the rows and columns of a window are shared out among the parts of the wall.

Never looks at what changes by the minute, so that the parts stand still: only the window, how many presses the shop
has, and how many kinds of alarm must be told.
"""

from msgspec import Struct

from floor.wall.curing import TILE_LINES, tile_width
from floor.wall.digits import rows_of

SCALES = (3, 2, 1)
ROWS_FOR_SCALE = {3: 42, 2: 30, 1: 22}
"""The window's rows from which countdowns are drawn at a scale."""
WET_MIN = {3: 38, 2: 24, 1: 21}
"""The columns that must be left for the wet pieces beside countdowns of a scale."""
ROWS_FOR_STEP_SCALE = {2: 50, 1: 36}
STEP_LINES = 2
"""What a step has beside the figure of what waits: what is in work, and the longest wait."""
GAP = 2
HEADING = 1
LINES_MIN = 2
"""The fewest rows in which a list tells something: its first line, and how many more there are."""


class Plan(Struct, frozen=True, kw_only=True):
    """Rows of each part with its heading, columns of the presses, and the scales of the figures. 0 rows: left out."""

    header: int
    alarms: int
    curing: int
    steps: int
    jobs: int
    press_columns: int
    press_scale: int
    step_scale: int


def plan_of(width: int, height: int, presses: int, kinds: int) -> Plan:
    """The plan of a window. What is most pressing is given its rows first; the jobs have all that is left."""
    scale = _scale(width, height, presses)
    step_scale = next((each for each, least in ROWS_FOR_STEP_SCALE.items() if height >= least), 0)
    wanted = {
        "alarms": max(height // 7, 2, kinds),
        "header": 1,
        "curing": HEADING + max(height // 5, TILE_LINES + rows_of(scale) if scale else _press_rows(height, presses)),
        "steps": HEADING + STEP_LINES + rows_of(step_scale) + bool(step_scale),
    }
    wanted["curing"] -= _lent(height - sum(wanted.values()), wanted["curing"])
    rows = {}
    left = height
    for part, wish in wanted.items():
        rows[part] = min(wish, left)
        left -= rows[part]
    return Plan(
        **rows,
        jobs=left,
        press_columns=presses * tile_width(scale) if scale else _row_columns(width),
        press_scale=scale,
        step_scale=step_scale,
    )


def _press_rows(height: int, presses: int) -> int:
    """Rows for presses that are told one to a row: for all of them, up to a third of the window."""
    return max(min(presses, height // 3), 3)


def _lent(jobs: int, curing: int) -> int:
    """Rows that the presses lend to the jobs, so that at least the most pressing job is seen."""
    return max(min(HEADING + LINES_MIN - jobs, curing - HEADING - LINES_MIN), 0)


def _scale(width: int, height: int, presses: int) -> int:
    """The largest figures for which there is room; 0 is plain text."""
    for scale in SCALES:
        rest = width - presses * tile_width(scale) - GAP
        if presses and height >= ROWS_FOR_SCALE[scale] and rest >= WET_MIN[scale]:
            return scale
    return 0


def _row_columns(width: int) -> int:
    return min(width // 2, 44)
