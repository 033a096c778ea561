"""Steps and routes: what must be done to a piece, in order, with the settings the operator needs.

Never knows where a piece is: that is floor.core.state.floor.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Literal, get_args

from msgspec import Struct

StepKind = Literal["hand", "machine", "dwell"]
"""hand: a person works; machine: a machine works; dwell: a machine with a least time, such as a cure."""
Scans = Literal["out", "in_out"]
"""out: one scan when the step is done; in_out: one at the start and one at the end."""
IfMissed = Literal["stop", "assume"]
"""stop: later steps are refused until this one is done; assume: a later scan records it as assumed."""

InkName = Literal["white", "colour"]
INKS: tuple[InkName, ...] = get_args(InkName)
LAID_DOWN_BY: Mapping[str, InkName] = {"underlayer printed": "white", "colour printed": "colour"}
"""By the event of a step: the ink that it lays down, where the shop file does not say."""
Factors = Mapping[InkName, Decimal]
"""By ink: what the shop's own readings make of an estimate."""
UNCALIBRATED: Factors = dict.fromkeys(INKS, Decimal(1))


class Uses(Struct, frozen=True, kw_only=True):
    """What one pass through a step takes, by the standard."""

    pretreat_g: Decimal = Decimal(0)
    consumables: Decimal = Decimal(0)
    """Money: a cover sheet's share, energy, tape …"""
    white_ml: Decimal = Decimal(0)
    colour_ml: Decimal = Decimal(0)
    estimated_ml: Decimal | None = None
    """The ink of the step by its artwork or the shop's standard, before a factor; None where the job file told it."""

    def ink_ml(self, ink: InkName) -> Decimal:
        """The millilitres of one ink."""
        return self.white_ml if ink == "white" else self.colour_ml


class Step(Struct, frozen=True, kw_only=True):
    """One operation on a piece, with everything that was promised when its ticket was made.

    Times are seconds: `touch_s` a person's standard, `machine_s` a machine's, `setup_s` what both spend once for a
    whole line before its first piece, `min_s` the least time in a closed press, `wait_limit_s` the longest wait before
    the step (for a cure: the wet limit), `over_s` how long a dwell may go on after its least time before somebody is
    told.
    """

    key: str
    event: str
    kind: StepKind
    scans: Scans
    if_missed: IfMissed
    place: str = ""
    touch_s: float = 0
    machine_s: float = 0
    setup_s: float = 0
    min_s: float = 0
    wait_limit_s: float | None = None
    over_s: float = 60
    settings: Mapping[str, str] = {}
    uses: Uses = Uses()

    @property
    def is_press(self) -> bool:
        """Whether the piece stays in a closed press, and may lie wet before it."""
        return self.kind == "dwell"

    @property
    def has_machine(self) -> bool:
        """Whether a machine works, and hands serve it."""
        return self.kind != "hand"

    @property
    def occupied_s(self) -> float:
        """How long the standard holds the machine: its own time, or the dwell."""
        return self.machine_s + self.min_s

    @property
    def label(self) -> str:
        """The step as people say it: "cure", or "cure back" when a piece is printed in several places."""
        return f"{self.key} {self.place}" if self.place else self.key

    def over_time_s(self, held_s: float) -> float | None:
        """How long a press that held a piece so long was over its least time; None for as long as the shop allows."""
        over_s = held_s - self.min_s
        return over_s if self.is_press and over_s > self.over_s else None


Route = tuple[Step, ...]


def times_round(route: Sequence[Step]) -> int:
    """How many steps of a route, from its start, are done again for each place that is printed.

    The hand steps after the last machine or dwell step (packing) belong to the whole piece and are done once.
    """
    working = [n for n, step in enumerate(route, start=1) if step.has_machine]
    return working[-1] if working else 0


def places_repeated(route: Sequence[Step], places: Sequence[str]) -> list[tuple[Step, str]]:
    """Each step of a route paired with its place, the print steps and the cure once for every place.

    With one place, or none, nothing is repeated and no step is labelled with a place.
    """
    if len(places) < 2:
        return [(step, "") for step in route]
    each = times_round(route)
    return [(step, place) for place in places for step in route[:each]] + [(step, "") for step in route[each:]]
