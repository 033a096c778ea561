"""What a shop file may say, but is more likely a slip: minutes written for seconds, a digit too many.

Never refuses anything: the maker's instructions are right, whatever is usual.
"""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from shared.files.shopfile import ShopFile
from shared.files.stepfile import RouteStep, StepTable


class Usual(NamedTuple):
    """What a value of a cure usually is, and what may have been meant by another. Common practice, no source."""

    least: float
    most: float
    unit: str
    meant: str


SECONDS = "if minutes were meant, write 60 times as much"
USUAL: Mapping[str, Usual] = {
    "min_s": Usual(15, 1_800, "s", SECONDS),
    "wait_limit_s": Usual(120, 86_400, "s", SECONDS),
    "temperature_c": Usual(40, 250, "°C", "see the maker's instructions"),
    "temperature_f": Usual(100, 480, "°F", "see the maker's instructions"),
}
"""By the name of a value of a dwell step, or of one of its settings; `init` writes `temperature_c`."""


class Oddity(NamedTuple):
    """A value that is unusual: where it stands, what it is, what is usual, what may have been meant."""

    where: str
    found: str
    usual: str
    meant: str


def oddities(shop: ShopFile) -> Iterator[Oddity]:
    """Every unusual value of the steps in a press, and of what the routes say of them otherwise."""
    dwells = {key for key, step in shop.steps.items() if step.is_press}
    for key in shop.steps:
        if key in dwells:
            yield from _odd(f"steps.{key}", shop.steps[key])
    for name, route in shop.routes.items():
        for n, entry in enumerate(route):
            if entry.step in dwells:
                yield from _odd(f'routes."{name}"[{n}]', entry)


def _odd(where: str, said: StepTable | RouteStep) -> Iterator[Oddity]:
    values = {"min_s": said.min_s, "wait_limit_s": said.wait_limit_s}
    settings = {f"settings.{name}": value for name, value in said.settings.items()}
    for path, value in {**values, **settings}.items():
        usual = USUAL.get(path.rpartition(".")[2])
        if usual and isinstance(value, int | float) and not usual.least <= value <= usual.most:
            between = f"{usual.least:g} to {usual.most:g} {usual.unit}"
            yield Oddity(f"{where}.{path}", f"{value:g} {usual.unit}", between, usual.meant)
