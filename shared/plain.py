"""An answer as plain data, made where it leaves the house.

Never computes.
"""

from typing import Any

import msgspec
from msgspec import Struct


def plain(answer: Struct) -> dict[str, Any]:
    """Its fields by their names: moments RFC 3339 in UTC, decimals as strings, structs within as plain data too."""
    return dict(msgspec.to_builtins(answer))
