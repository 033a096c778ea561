"""Whether the demo did what it promises: what was played is held against the ledger and the report.

Never takes the player's word for what the ledger can tell.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct

from demo_shop.day import Day
from demo_shop.mishaps import MISHAPS
from demo_shop.office import Office, Order
from demo_shop.play import Heard
from demo_shop.promises import DemoPromise, same
from floor.core.state.floor import Floor
from shared.events.base import Event

HOURS_OFF = 0.12
"""Hands of the demo take 7 % longer than the standards that stand in for what no read shows; by chance some more."""


class PlayedThrough(Struct, frozen=True, kw_only=True):
    """What the player did, and what it was told."""

    orders: Sequence[Order]
    cards: int
    day: Day
    heard: Sequence[Heard]

    def outcomes(self) -> dict[str, int]:
        """Reads by how they were answered."""
        return dict(Counter(each.answer.outcome for each in self.heard))

    def happened(self) -> dict[str, int]:
        """Mishaps by name, as often as they were played."""
        return {_name(mishap.happens): self.day.happened[mishap.happens] for mishap in MISHAPS}


def _name(function: object) -> str:
    return str(getattr(function, "__name__", function)).replace("_", " ")


def promises(played: PlayedThrough, office: Office, report: Mapping[str, Any]) -> list[DemoPromise]:
    """Every promise of the demo, kept or not."""
    floor = office.folder.floor()
    with office.folder.ledger() as ledger:
        events = [row.event for row in ledger.rows()]
    return [
        *_paper(played, office),
        *_reads(played),
        *_mishaps(played, events),
        *_pieces(played, floor),
        *_report(played, floor, report),
        same("the ledger is whole", office.command("check")["good"], True),
    ]


def _paper(played: PlayedThrough, office: Office) -> Iterator[DemoPromise]:
    for order in played.orders:
        yield same(f"every traveller of {order.job} reads as it was given", sorted(order.read), sorted(order.given))
    yield same("every card reads", played.cards, len(office.folder.shop.cards))


def _reads(played: PlayedThrough) -> Iterator[DemoPromise]:
    surprises = played.day.surprises
    yield DemoPromise(
        promise="every read was answered as its hands had reason to expect",
        kept=not surprises,
        found="; ".join(surprises[:3]),
    )


def _mishaps(played: PlayedThrough, events: Sequence[Event]) -> Iterator[DemoPromise]:
    for mishap in MISHAPS:
        name, times = _name(mishap.happens), played.day.happened[mishap.happens]
        yield same(f"{name}: played as often as planned", times, mishap.times)
        yield same(f"{name}: left its mark as often", mishap.found(events, played.heard), times)


def _pieces(played: PlayedThrough, floor: Floor) -> Iterator[DemoPromise]:
    given = [floor.pieces[code] for order in played.orders for code in order.given]
    in_the_end = [piece if piece.remake is None else floor.pieces[piece.remake] for piece in given]
    states = Counter(piece.state for piece in in_the_end)
    yield same("every piece, or its remake, walked to its end", dict(states), {"finished": len(given)})
    unseen = [piece.code for piece in in_the_end if not all(walked.over for walked in piece.walk)]
    yield same("no step of theirs is missing", unseen, [])


def _report(played: PlayedThrough, floor: Floor, report: Mapping[str, Any]) -> Iterator[DemoPromise]:
    ordered = sum(len(order.given) for order in played.orders)
    spoiled = Counter(piece.spoiled.reason for piece in floor.pieces.values() if piece.spoiled)
    told = {reason: each["pieces"] for reason, each in report["spoiled_by_reason"].items()}
    yield same("the report counts what was finished", report["finished"], ordered)
    yield same("the report counts what was spoiled", told, dict(spoiled))
    yield same("the report leaves nothing open", report["open"], 0)
    by_job = {each["job"]: each["finished"] for each in report["jobs"]}
    yield from _hours(played, report)
    yield same("job by job", by_job, {order.job: len(order.given) for order in played.orders})


def _hours(played: PlayedThrough, report: Mapping[str, Any]) -> Iterator[DemoPromise]:
    """The player knows for how long hands really worked; the report only what their reads say."""
    in_pieces_s = sum(each["absorbed_s"] for each in report["hands"])
    off = in_pieces_s / played.day.worked_s - 1
    yield DemoPromise(
        promise=f"hours in pieces are within {HOURS_OFF:.0%} of those that hands worked",
        kept=abs(off) <= HOURS_OFF,
        found=f"found them {off:+.1%}",
    )
    more = [each["badge"] for each in report["hands"] if each["absorbed_s"] > each["paid_s"]]
    yield same("no hands have more hours in pieces than they were there", more, [])
