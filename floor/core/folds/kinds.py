"""Which function folds which kind of event: each says so itself, where it stands.

Never folds anything.
"""

from collections.abc import Callable
from typing import Any, TypeVar

from floor.core.state.floor import Floor
from shared.events.base import Event
from shared.events.recorded import Recorded

Fold = Callable[[Floor, Recorded, Any], None]
F = TypeVar("F", bound=Fold)


class Folds:
    """The folds that there are, by the kind of event."""

    def __init__(self) -> None:
        self.by_kind: dict[type[Event], Fold] = {}

    def of(self, *kinds: type[Event]) -> Callable[[F], F]:
        """Say that a function folds kinds of events. Raises ValueError for one that has a fold already."""

        def register(fold: F) -> F:
            for kind in kinds:
                if kind in self.by_kind:
                    raise ValueError(f"{kind.__name__} is folded by {self.by_kind[kind].__name__} already")
                self.by_kind[kind] = fold
            return fold

        return register


FOLDS = Folds()
