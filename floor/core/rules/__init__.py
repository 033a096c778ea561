"""The rules of the floor: what a read means for a piece, here and now. Pure: the time comes with the read."""

from floor.core.rules.decide import decide
from floor.core.rules.reading import Decision

__all__ = ["Decision", "decide"]
