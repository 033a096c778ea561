"""The remote benches of a shop, and the tokens by which they are known.

Never stores a token: only what it hashes to.
"""

import hashlib
import hmac
import secrets
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from msgspec import Struct

from floor.doors.private_file import PrivateFile, PrivateFileError
from shared.files.near import did_you_mean

FILE_NAME = "benches.json"
NAME_MAX = 60


class KnownBench(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A bench that may send scans, and may do nothing else."""

    name: str
    token_sha256: str
    """A plain hash is enough: nobody guesses 256 random bits."""
    added_at: datetime


class BenchError(PrivateFileError):
    """What is wrong with a bench, and what to do, in one line."""


class Benches:
    """The benches in a shop's folder, as new as their file: `bench add` needs no restart of the floor."""

    def __init__(self, folder: Path) -> None:
        self._file = PrivateFile[tuple[KnownBench, ...]](folder / FILE_NAME, tuple[KnownBench, ...], ())

    def all(self) -> Sequence[KnownBench]:
        """Every bench, in the order in which they were added. Raises PrivateFileError."""
        return self._file.read()

    def add(self, name: str, now: datetime) -> str:
        """A new bench; its token, which cannot be shown again. Raises PrivateFileError."""
        if not name.strip() or not name.isprintable() or len(name) > NAME_MAX:
            raise BenchError(f"{name!r} is no name for a bench. Write 1 to {NAME_MAX} plain characters.")
        with self._file.changing() as benches:
            if any(bench.name == name for bench in benches):
                raise BenchError(f"There is a bench {name!r} already. Revoke it first, or choose another name.")
            token = secrets.token_urlsafe(32)
            self._file.write((*benches, KnownBench(name=name, token_sha256=_hash(token), added_at=now)))
        return token

    def revoke(self, name: str) -> None:
        """Let a bench's token count no longer, from the next request on. Raises PrivateFileError."""
        with self._file.changing() as benches:
            if all(bench.name != name for bench in benches):
                meant = did_you_mean(name, (bench.name for bench in benches))
                raise BenchError(f"There is no bench {name!r}.{meant} See: piecewalk bench list")
            self._file.write(tuple(bench for bench in benches if bench.name != name))

    def who(self, token: str) -> str | None:
        """The name of the bench that a token belongs to, or None. Raises PrivateFileError.

        Takes as long for every token of a length, and looks at every bench.
        """
        hashed = _hash(token)
        names = [bench.name for bench in self.all() if hmac.compare_digest(bench.token_sha256, hashed)]
        return names[0] if names else None


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogateescape")).hexdigest()
