"""The words of an EPCIS document: the standard's own (GS1 Core Business Vocabulary 2.0) where they fit, ours elsewhere.

Never knows an event of the ledger.
"""

import re
from functools import lru_cache
from typing import NamedTuple
from urllib.parse import quote

from floor.exports.pieces import REMEMBERED, PieceCard

PREFIX = "piecewalk"
"""Stands in a document for the vocabulary of the base."""
CONTEXT = "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld"
COMMISSIONING, INSPECTING = "commissioning", "inspecting"
ACTIVE, IN_PROGRESS, CONFORMANT, NON_CONFORMANT = "active", "in_progress", "conformant", "non_conformant"
DID_NOT_OCCUR, PRODUCTION_ORDER = "did_not_occur", "prodorder"

BIZ_STEPS = {
    "picked": ("picking", IN_PROGRESS),
    "inspected": (INSPECTING, CONFORMANT),
    "packed": ("packing", IN_PROGRESS),
    "stored": ("storing", IN_PROGRESS),
    "loaded": ("loading", IN_PROGRESS),
    "shipped": ("shipping", "in_transit"),
}
"""By the shop's name for a station event: the business step, and how the piece is after it.

The choice is ours: the vocabulary says what its words mean, no source says which of them a print shop needs.
"""

_BASE = re.compile(r"https?://[A-Za-z0-9.-]+(:[0-9]+)?(/[A-Za-z0-9._~%-]+)*/?")


class PieceNames(NamedTuple):
    """The names of a piece, of what it was made from, and of what it is part of."""

    piece: str
    blank: str
    job: str
    replaced: str | None


class Names:
    """Names for the things of a shop: URIs below a base that is the shop's own and must stay the same."""

    def __init__(self, base: str) -> None:
        """Raises ValueError for a base that is no http address of a folder."""
        if not _BASE.fullmatch(base):
            raise ValueError(
                f"base: got {base!r}, expected an address of your own such as https://prints.example/floor/"
            )
        self.base = base.rstrip("/") + "/"
        self.vocabulary = f"{self.base}vocabulary/"
        self.station = lru_cache(REMEMBERED)(lambda name: self._name("station", name))
        self.started = lru_cache(REMEMBERED)(lambda step: self._name("bizstep", f"{step} started"))
        self._done = lru_cache(REMEMBERED)(lambda event: self._name("bizstep", event))

    @classmethod
    def of_shop(cls, name: str) -> "Names":
        """Names for a shop that has no address: example.org is kept free for examples (RFC 2606), and is nobody's."""
        return cls(f"https://example.org/piecewalk/{quote(name, safe='')}/")

    def _name(self, *path: str) -> str:
        return self.base + "/".join(quote(part, safe="") for part in path)

    def piece(self, code: str) -> str:
        """A piece."""
        return self._name("piece", code)

    def of_piece(self, card: PieceCard) -> PieceNames:
        """A piece, the blank that it was made from, its job, and the piece that it replaces."""
        return PieceNames(
            piece=self.piece(card.code),
            blank=self._name("blank", card.item, card.colour, card.size),
            job=self._name("job", card.job),
            replaced=self.piece(card.remake_of) if card.remake_of else None,
        )

    def done(self, event: str) -> tuple[str, str]:
        """The business step of a station event, and the disposition of the piece after it."""
        return BIZ_STEPS.get(event) or (self._done(event), IN_PROGRESS)


def event_id(hash: str) -> str:
    """The name of an event, from a row's hash: a UUID of version 8 (RFC 9562), the same in every export.

    The hash covers the row and all before it, so no row of any other ledger has the same.
    """
    variant = "89ab"[int(hash[16], 16) % 4]
    return f"urn:uuid:{hash[:8]}-{hash[8:12]}-8{hash[13:16]}-{variant}{hash[17:20]}-{hash[20:32]}"
