"""What comes in from outside comes to the same floor as the pages."""

from tests.floor.web.conftest import _patient, _soon_ended, house, shut

__all__ = ["_patient", "_soon_ended", "house", "shut"]
