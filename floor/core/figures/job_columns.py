"""The columns of the jobs of a week, declared once: terminal, PDF, page, workbook, CSV and JSON read them.

Never computes: a column names a figure of the report, and says how a bookkeeper may recompute it.
"""

from collections.abc import Callable
from datetime import datetime
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from floor.core.figures.data import JobWeek

ColumnKind = Literal["text", "count", "money", "millilitres", "seconds", "share", "rate", "moment"]
Cell = str | int | float | Decimal | datetime | None
"""None is an empty cell: there is no figure."""


class JobColumn(Struct, frozen=True, kw_only=True):
    """One figure of a job: its name in files, its heading for people, and what it is."""

    name: str
    heading: str
    """Translated where it is shown; it may have two lines."""
    value: Callable[[JobWeek], Cell]
    kind: ColumnKind = "money"
    formula: str = ""
    """How the cell follows from others of its row, or of another sheet: see floor.reports.sheets."""
    signed: bool = False
    """Whether it says by how much something is worse or better."""

    @property
    def summed(self) -> bool:
        """Whether the rows add up to something."""
        return self.kind != "text"

    @property
    def title(self) -> str:
        """The heading on one line."""
        return self.heading.replace("\n", " ")


JOB_COLUMNS = (
    JobColumn(name="job", heading="job", value=lambda job: job.job, kind="text"),
    JobColumn(name="customer", heading="customer", value=lambda job: job.customer, kind="text"),
    JobColumn(name="finished", heading="finished", value=lambda job: job.finished, kind="count"),
    JobColumn(name="spoiled", heading="spoiled", value=lambda job: job.spoiled, kind="count"),
    JobColumn(
        name="quoted",
        heading="quoted",
        value=lambda job: job.quoted["total"],
        formula="SUMIFS({elements.quoted},{elements.job},{job})",
    ),
    JobColumn(
        name="actual",
        heading="actual",
        value=lambda job: job.actual["total"],
        formula="SUMIFS({elements.actual},{elements.job},{job})",
    ),
    JobColumn(
        name="variance",
        heading="variance",
        value=lambda job: job.variance_total,
        formula="{actual}-{quoted}",
        signed=True,
    ),
    JobColumn(
        name="abnormal_spoilage",
        heading="spoiled beyond\nallowance",
        value=lambda job: job.abnormal_spoilage,
    ),
    JobColumn(name="given_up_cost", heading="given up", value=lambda job: job.given_up_cost),
    JobColumn(name="price", heading="price", value=lambda job: job.price),
    JobColumn(
        name="margin_quoted",
        heading="margin\nquoted",
        value=lambda job: job.margin_quoted,
        formula="{price}-{quoted}",
    ),
    JobColumn(
        name="margin_made",
        heading="margin\nmade",
        value=lambda job: job.margin_made,
        formula="{price}-{actual}-{abnormal_spoilage}-{given_up_cost}",
    ),
)
"""Margin quoted less variance, less what was spoiled beyond the allowance, less what was given up: margin made."""
BY_NAME = {column.name: column for column in JOB_COLUMNS}
