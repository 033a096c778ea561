"""The steps with what waits at each and what is in work, and the jobs by due time.

Never hides a job that is late or stuck behind one that is on time.
"""

from collections.abc import Sequence
from datetime import tzinfo

from rich.cells import cell_len
from rich.console import Group, RenderableType
from rich.text import Text

from floor.core.plan.board import Board, BoardJob, StepLine
from floor.wall.digits import columns_of, large
from floor.wall.look import BOLD, LABEL, chosen, gauge, grid, heading, label, more, said, state, tone
from floor.wall.signs import HELD, job_sign
from shared import wording

STEP_LABELS = 8
STEP_MIN = 7
SIGN = 9
DONE = 7
MOMENT = 12
JOB = 5
GAUGE_FROM = 76
GAUGE_SHARE = 4
"""A gauge takes one column in so many of those that are left."""


def step_lines(board: Board, width: int) -> tuple[list[StepLine], list[StepLine], int]:
    """The steps that are shown, those that are left out (the idlest), and the columns of each."""
    room = max((width - STEP_LABELS - 1) // STEP_MIN, 1)
    shown, left_out = chosen(board.steps, room, lambda line: -(line.waiting + line.working))
    return shown, left_out, max((width - STEP_LABELS - 1) // max(len(shown), 1), 1)


def step_heading(board: Board, width: int) -> Text:
    """The names of the steps, each above its figures."""
    shown, left_out, each = step_lines(board, width)
    first = f"+{len(left_out)}" if left_out else "steps"
    return heading(width, [(0, first), *((STEP_LABELS + 1 + n * each, line.step) for n, line in enumerate(shown))])


def step_rows(board: Board, width: int, scale: int) -> RenderableType:
    """What waits (large, where there is room), what is in work, and how long the first has waited."""
    shown, _, each = step_lines(board, width)
    rows = [
        [label("waiting"), *(_waiting(line, each - 1, scale) for line in shown)],
        [label("in work"), *(_count(line.working) for line in shown)],
        [label("longest"), *(said(wording.minutes(line.oldest_wait_s)) for line in shown)],
    ]
    return grid([STEP_LABELS, *[each - 1] * len(shown)], rows)


def _waiting(line: StepLine, width: int, scale: int) -> Text:
    fitting = next((s for s in range(scale, 0, -1) if columns_of(str(line.waiting), s) <= width), 0)
    return Text("\n".join(large(str(line.waiting), fitting)), BOLD if line.waiting else LABEL, no_wrap=True)


def _count(number: int) -> Text:
    return said(str(number), BOLD if number else LABEL)


def job_widths(board: Board, width: int) -> list[int]:
    """Sign, job, gauge, pieces done, due, expected finish, customer. The customer's name stands last: whatever a
    terminal makes of it, nothing to the right of it can be moved."""
    job = max([JOB, *(cell_len(line.job) for line in board.jobs)])
    fixed = [SIGN, job, 0, DONE, MOMENT, MOMENT]
    rest = width - sum(fixed) - len(fixed)
    if width >= GAUGE_FROM:
        fixed[2] = rest // GAUGE_SHARE
    return [*fixed, rest - fixed[2]]


def job_heading(board: Board, width: int) -> Text:
    """The count of jobs, and what stands in each column."""
    widths = job_widths(board, width)
    starts = [sum(widths[:n]) + n - (widths[2] == 0 and n > 2) for n in range(len(widths))]
    names = ["done", "due", "finish", "customer"]
    return heading(width, [(0, f"jobs {len(board.jobs)}"), *zip(starts[3:], names, strict=True)])


def job_rows(board: Board, zone: tzinfo, width: int, room: int) -> RenderableType:
    """The jobs by due time. Where not all fit, those that are late or stuck are shown before others."""
    if not board.jobs:
        return label("no job is open")
    widths = job_widths(board, width)
    shown, left_out = chosen(board.jobs, room, lambda job: job_sign(job).tone != "urgent")
    rows = grid([cells for cells in widths if cells], [_job_row(job, board, zone, widths) for job in shown])
    urgent = [sign.word.lower() for sign in map(job_sign, left_out) if sign.tone == "urgent"]
    return Group(rows, more(len(left_out), "jobs", len(urgent), " or ".join(sorted(set(urgent))))) if left_out else rows


def _job_row(job: BoardJob, board: Board, zone: tzinfo, widths: Sequence[int]) -> list[Text]:
    sign = job_sign(job)
    style = tone(sign)
    finish = HELD.word.lower() if job.held else wording.moment(job.expected_finish, board.at, zone)
    row = [
        state(sign),
        said(job.job, BOLD),
        gauge(job.finished / job.pieces if job.pieces else 0, widths[2], style),
        said(f"{job.finished}/{job.pieces}"),
        said(wording.moment(job.due, board.at, zone)),
        said(finish, style),
        said(f"{job.why} · {job.customer}" if job.why else job.customer, LABEL),
    ]
    return [cell for cell, cells in zip(row, widths, strict=True) if cells]
