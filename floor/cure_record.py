"""The record of a piece's cure: what tickets draws, filled from the floor and the rows of its ledger.

Never draws, and never records.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import BinaryIO
from zoneinfo import ZoneInfo

from floor.cures import Cure, cures_of, row_of, stays
from floor.ledger import Ledger
from floor.lots import Used, lots_of
from floor.orders import NotPossible
from floor.state import Floor, Piece
from floor.wording import MINUTE_S, NOTHING, duration, exact_moment, full_moment
from shared.events import Contradicted, LotOpened, Recorded, StepAssumed, StepDone, StepStarted
from shared.route import Step
from shared.shop import Shop
from tickets.cure_record import CureRecord, Proof, Stay, cure_record
from tickets.settings import settings_words
from tickets.stock import SHEETS

ASKED = (
    *("Asked of the press", "Press", "Closed", "Opened", "Held", "At least", "Lay wet", "At most"),
    *("Hands", "How it is known", "Odd about it"),
)


def record_of(floor: Floor, shop: Shop, piece: Piece, ledger: Ledger, now: datetime) -> CureRecord:
    """All that stands on the record of a piece's cure, made now. Raises NotPossible for one that no press has held."""
    cures, zone = cures_of(floor, piece), shop.hours.zone
    if not cures:
        raise NotPossible(f"Piece {piece.code} has not been in a press: there is no cure to record.")
    lots = lots_of(floor, shop, piece)
    return CureRecord(
        shop=shop.name,
        code=piece.code,
        made=f"made {full_moment(now, zone)}",
        facts=_facts(floor, piece),
        lots=", ".join(dict.fromkeys(used.told for used in lots)) or "none was opened",
        asked=ASKED,
        stays=[_stay(piece.route[n], cure, zone) for n, cure in zip(stays(piece), cures, strict=True)],
        proofs=[_proof(row, what, ledger, zone) for row, what in _rows(piece, lots, ledger)],
        verified=(
            f"All {floor.seq:,} rows of the ledger were verified for this record: each has a hash over itself and the "
            f"hash before it, and the last is {_hash(ledger, floor.seq)}. “piecewalk check” verifies them again."
        ),
    )


def write_record(record: CureRecord, paper: str, out: BinaryIO) -> None:
    """The record as a PDF, on a paper by its name."""
    cure_record(record, SHEETS[paper], out)


def _facts(floor: Floor, piece: Piece) -> list[tuple[str, str]]:
    job = floor.jobs[piece.job]
    line = job.line(piece.line)
    facts = [
        ("Job", f"{job.code}, line {line.number}, piece {piece.number} of {line.quantity}"),
        ("Customer", job.order.customer),
        ("Design", line.design),
        ("Item", f"{line.item}, {line.colour}, {piece.size}"),
        ("State", f"{piece.state}: {piece.spoiled.reason}" if piece.spoiled else piece.state),
    ]
    return [*facts, ("Remake of", piece.remake_of)] if piece.remake_of else facts


def _stay(step: Step, cure: Cure, zone: ZoneInfo) -> Stay:
    hands = dict.fromkeys(filter(None, (cure.closed_by, cure.opened_by)))
    facts = (
        " · ".join(settings_words(step)),
        cure.press or NOTHING,
        exact_moment(cure.closed, zone) if cure.closed else NOTHING,
        exact_moment(cure.opened, zone) if cure.opened else NOTHING,
        _exact(cure.held_s),
        _exact(cure.least_s),
        _exact(cure.wet_s),
        _exact(cure.wet_limit_s),
        ", ".join(hands) or "nobody was signed in",
        _known(cure),
        "; ".join(cure.marks) or "nothing",
    )
    return Stay(name=cure.step, facts=facts)


def _exact(seconds: float | None) -> str:
    """Seconds to a tenth, from a minute on in two units too; nothing is rounded up to its limit."""
    if seconds is None:
        return NOTHING
    exact = f"{int(seconds * 10) / 10:.10g} s"
    return exact if seconds < MINUTE_S else f"{exact} ({duration(int(seconds))})"


def _known(cure: Cure) -> str:
    if cure.opened:
        return "both its closing and its opening are recorded"
    if cure.passed:
        return "assumed: a later scan shows that it was over"
    return "its closing is recorded; its opening is not yet"


def _rows(piece: Piece, lots: Sequence[Used], ledger: Ledger) -> Iterator[tuple[Recorded, str]]:
    """The rows that the record rests on, with what each says."""
    opened = {used.row: used for used in lots}
    for seq, used in sorted(opened.items()):
        lot = _row(ledger, seq)
        assert isinstance(lot.event, LotOpened)
        yield lot, f"{used.name} opened for {lot.event.at_station or 'every station'}"
    for n in stays(piece):
        if n and (before := row_of(piece, n - 1, StepDone)):
            yield before, f"{piece.route[n - 1].label}: done"
        for kind, what in ((StepStarted, "closed"), (StepDone, "opened"), (StepAssumed, "assumed")):
            if row := row_of(piece, n, kind):
                yield row, f"{piece.route[n].label}: {what}"
    for contradiction in piece.contradictions:
        assert isinstance(contradiction.event, Contradicted)
        yield contradiction, f"{piece.route[contradiction.event.step].label}: contradicted"


def _row(ledger: Ledger, seq: int) -> Recorded:
    return next(ledger.rows(seq - 1, seq))


def _proof(row: Recorded, what: str, ledger: Ledger, zone: ZoneInfo) -> Proof:
    hands = f"by {row.badge}" if row.badge else None
    return Proof(
        row=row.seq,
        what=what,
        at=exact_moment(row.occurred_at, zone),
        where=", ".join(filter(None, (row.station, hands, row.device))) or NOTHING,
        hash=_hash(ledger, row.seq),
    )


def _hash(ledger: Ledger, seq: int) -> str:
    return next(ledger.stored(seq - 1, seq)).hash
