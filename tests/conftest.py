"""How hypothesis runs here: without a stop-watch, for machines differ, and in CI the same examples every time."""

import os

from hypothesis import settings

settings.register_profile("here", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")
