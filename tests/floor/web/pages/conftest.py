"""Passwords that are quick to try."""

import pytest

from floor.doors import access


@pytest.fixture(autouse=True)
def _quick_passwords(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(access, "SCRYPT_N", 16)
