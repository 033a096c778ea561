"""The commands of piecewalk, thin: they open a shop, call the floor, and say what came of it."""

from floor.cli.main import main

__all__ = ["main"]
