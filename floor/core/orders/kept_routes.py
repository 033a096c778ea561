"""What the tickets of open pieces keep of the shop file of their day, though it says otherwise by now.

Never changes a route: what a ticket says stays so.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Set
from typing import NamedTuple

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from shared.files.shop import Shop
from shared.route import Step


class KeptRoute(NamedTuple):
    """A difference: of which step, in what, and what each says; None where one of them says nothing."""

    step: str
    what: str
    ticket: str | None
    shop: str | None


class OnTickets(NamedTuple):
    """Who keeps it: the open pieces, and their jobs."""

    pieces: list[str]
    jobs: list[str]


def kept_routes(floor: Floor, shop: Shop) -> Mapping[KeptRoute, OnTickets]:
    """Every difference in what is still to be done to an open piece, with those that keep it; not in its order."""
    kept: dict[KeptRoute, OnTickets] = defaultdict(lambda: OnTickets([], []))
    for piece in floor.open.values():
        for difference in _kept(floor, shop, piece):
            on = kept[difference]
            on.pieces.append(piece.code)
            if piece.job not in on.jobs:
                on.jobs.append(piece.job)
    return dict(sorted(kept.items(), key=lambda item: (item[0].step, item[0].what, str(item[0]))))


def _kept(floor: Floor, shop: Shop, piece: Piece) -> Set[KeptRoute]:
    line = floor.line_of(piece)
    try:
        today = {step.key: step for step in shop.route(line.item, line.shade, [])}
    except KeyError:
        return set()  # the shop has no such item any more, or not in this shade
    to_do = {step.key: step for step in piece.route[piece.position :]}
    gone = {KeptRoute(key, "the step", "to be done", None) for key in to_do.keys() - today.keys()}
    new = {KeptRoute(key, "the step", None, "to be done") for key in _still_ahead(piece, today)}
    changed = {kept for key in to_do.keys() & today.keys() for kept in _differences(to_do[key], today[key])}
    return gone | new | changed


def _still_ahead(piece: Piece, today: Mapping[str, Step]) -> Set[str]:
    """The steps of today's route that the ticket lacks, and that would come after what was done to the piece last."""
    keys, done = list(today), {step.key for step in piece.route[: piece.position]}
    behind = max((n for n, key in enumerate(keys, start=1) if key in done), default=0)
    return set(keys[behind:]) - {step.key for step in piece.route}


def _differences(ticket: Step, today: Step) -> Iterator[KeptRoute]:
    """What hands go by; the standard times, which are for figures alone, are not among it."""
    said, now = _said(ticket), _said(today)
    for what in said.keys() | now.keys():
        if said.get(what) != now.get(what):
            yield KeptRoute(ticket.key, what, said.get(what), now.get(what))


def _said(step: Step) -> Mapping[str, str]:
    times = {"min_s": step.min_s or None, "wait_limit_s": step.wait_limit_s}
    figures = {what: f"{seconds:g}" for what, seconds in times.items() if seconds is not None}
    return {**step.settings, **figures, "if_missed": step.if_missed, "scans": step.scans}
