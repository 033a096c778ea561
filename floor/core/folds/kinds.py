"""What a table of folds is: by kind of event, the function that folds it.

Never holds one.
"""

from collections.abc import Callable, Mapping
from typing import Any

from floor.core.state.floor import Floor
from shared.events import Recorded

Folds = Mapping[type, Callable[[Floor, Recorded, Any], None]]
