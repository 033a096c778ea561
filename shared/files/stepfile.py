"""The steps and routes of a shop file: what each step is, and what differs from it on a route.

Never follows a name from one table to another: that is shared.files.references.
"""

from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator

from shared.files.problems import refuse
from shared.files.tables import Amount, Name, Number, Seconds, Table
from shared.route import LAID_DOWN_BY, IfMissed, InkName, Scans, StepKind

# ruff: noqa: RUF012 - a default that can change is copied by pydantic for each table


class StepUses(Table):
    """[steps.….uses]"""

    pretreat_g: Amount = Decimal(0)
    consumables: Amount = Decimal(0)


class StepTable(Table):
    """[steps.…], and with other numbers wherever a route writes { step = "cure", min_s = 60 }."""

    event: Name
    kind: StepKind
    scans: Scans = "out"
    if_missed: IfMissed = "assume"
    touch_s: Seconds = 0
    machine_s: Seconds = 0
    setup_s: Seconds = 0
    min_s: Annotated[Seconds, Field(validate_default=True)] = 0
    wait_limit_s: Seconds | None = None
    over_s: Seconds = 60
    """How long after its least time a dwell may go on before the wall says so."""
    settings: dict[str, str | int | float] = {}
    uses: StepUses = StepUses()
    ink: Literal["white", "colour", "none"] | None = None
    """Which ink of the line's print the step lays down; left out, it follows from the event's name."""

    @field_validator("scans")
    @classmethod
    def _dwells_have_two_scans(cls, scans: Scans, info: ValidationInfo) -> Scans:
        if info.data.get("kind") == "dwell" and scans != "in_out":
            raise refuse(allowed='"in_out" for a dwell', do={"scans": "in_out"})
        return scans

    @field_validator("min_s")
    @classmethod
    def _dwells_alone_have_a_least_time(cls, min_s: float, info: ValidationInfo) -> float:
        kind = info.data.get("kind")
        if kind == "dwell" and min_s <= 0:
            raise refuse(allowed="a least time above 0 for a dwell", do={"min_s": 180})
        if kind in {"hand", "machine"} and min_s > 0:
            raise refuse(allowed="a least time for a dwell alone", do={"machine_s": Decimal(str(min_s))})
        return min_s

    @property
    def is_press(self) -> bool:
        """Whether the piece stays in a closed press."""
        return self.kind == "dwell"

    @property
    def has_machine(self) -> bool:
        """Whether a machine works, and hands serve it."""
        return self.kind != "hand"

    @property
    def scanned(self) -> Scans:
        """How the step is scanned: a dwell always at both ends."""
        return "in_out" if self.is_press else self.scans

    @property
    def safe_if_missed(self) -> IfMissed:
        """Inspection and cure stop what comes after them unless the shop says otherwise."""
        if "if_missed" in self.model_fields_set:
            return self.if_missed
        return "stop" if self.is_press or self.event == "inspected" else "assume"

    @property
    def lays_down(self) -> InkName | None:
        """Which ink the step lays down; None for one that lays down none."""
        if self.ink is not None:
            return None if self.ink == "none" else self.ink
        return LAID_DOWN_BY.get(self.event)


class RouteStep(Table):
    """One entry of a route: a step's key, and what differs from [steps.…] on this route."""

    step: str
    touch_s: Seconds | None = None
    machine_s: Seconds | None = None
    setup_s: Seconds | None = None
    min_s: Annotated[Number, Field(gt=0, le=86_400)] | None = None
    wait_limit_s: Seconds | None = None
    settings: dict[str, str | int | float] = {}
    uses: StepUses | None = None


def _named_step(entry: Any) -> Any:
    if not isinstance(entry, str | dict):
        raise refuse(
            allowed='a step by its name, or a table such as { step = "cure", min_s = 60 }',
            do={"dark garment": ["colour", "cure", "pack"]},
        )
    return {"step": entry} if isinstance(entry, str) else entry


RouteTable = Annotated[list[Annotated[RouteStep, BeforeValidator(_named_step)]], Field(min_length=1)]
