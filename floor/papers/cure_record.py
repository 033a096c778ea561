"""The record of a piece's cure, in the shop's language: what tickets draws, filled from the floor and its ledger.

Never draws, and never records.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import BinaryIO

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from floor.core.times.cures import Cure, cures_of, row_of_end
from floor.core.trace.lots import Used, lots_of
from floor.ledger import Ledger
from shared.events.reads import Contradicted, StepAssumed, StepDone, StepInterrupted, StepStarted
from shared.events.recorded import Recorded
from shared.events.supplies import LotOpened
from shared.files.shop import Shop
from shared.route import Step
from shared.scan import BY_HAND
from shared.wish import NotPossible
from shared.wording import MINUTE_S, NO_FIGURE, duration, exact_moment, full_moment, quantity
from shared.words import Words
from tickets.cure_record import CureRecord, PressStay, Proof, cure_record
from tickets.kit.paper import SHEETS
from tickets.settings import number, settings_words

ASKED = (
    *("Asked of the press", "Press", "Closed", "Opened", "Held", "At least", "Lay wet", "At most"),
    *("Hands", "How it is known", "Odd about it"),
)
"""What is told of each stay in a press."""


def record_of(floor: Floor, shop: Shop, piece: Piece, ledger: Ledger, now: datetime) -> CureRecord:
    """All that stands on the record of a piece's cure, made now. Raises NotPossible for one that no press has held."""
    cures, words = cures_of(floor, piece), shop.words
    if not cures:
        raise NotPossible(f"Piece {piece.code} has not been in a press: there is no cure to record.")
    lots = lots_of(floor, shop, piece)
    return CureRecord(
        shop=shop.name,
        code=piece.code,
        made=words.say("made {moment}", moment=full_moment(now, shop.hours.zone, words.language)),
        facts=_facts(floor, piece, words),
        lots=", ".join(dict.fromkeys(used.told(words) for used in lots)) or words.say("none was opened"),
        asked=[words.say(word) for word in ASKED],
        stays=[_stay(piece.route[cure.index], cure, shop) for cure in cures],
        proofs=[_proof(row, what, ledger, shop) for row, what in _rows(piece, cures, lots, ledger, words)],
        verified=words.say(
            "All {count} rows of the ledger were verified for this record: each has a hash over itself and the "
            "hash before it, and the last is {hash}. “piecewalk check” verifies them again.",
            count=quantity(floor.seq, 0, words.language),
            hash=_hash(ledger, floor.seq),
        ),
    )


def write_record(record: CureRecord, shop: Shop, paper: str, out: BinaryIO) -> None:
    """The record as a PDF, on a paper by its name."""
    cure_record(record, SHEETS[paper].printed_at(shop.file.shop.printer_dpi), out, shop.words)


def _facts(floor: Floor, piece: Piece, words: Words) -> list[tuple[str, str]]:
    job, say = floor.jobs[piece.job], words.say
    line = job.line(piece.line)
    which = {"job": job.code, "line": line.number, "number": piece.number, "count": line.quantity}
    state = say(piece.state)
    facts = [
        (say("Job"), say("{job}, line {line}, piece {number} of {count}", **which)),
        (say("Customer"), job.customer),
        (say("Design"), line.design),
        (say("Item"), f"{line.item}, {line.colour}, {piece.size}"),
        (say("State"), f"{state}: {piece.spoiled.reason}" if piece.spoiled else state),
    ]
    return [*facts, (say("Remake of"), piece.remake_of)] if piece.remake_of else facts


def _stay(step: Step, cure: Cure, shop: Shop) -> PressStay:
    words = shop.words
    hands = dict.fromkeys(filter(None, (cure.closed_by, cure.opened_by)))
    facts = (
        " · ".join(settings_words(step, words)),
        cure.press or NO_FIGURE,
        *(_moment(at, shop) if at else NO_FIGURE for at in (cure.closed, cure.opened)),
        *(_exact(seconds, words) for seconds in (cure.held_s, cure.least_s, cure.wet_s, cure.wet_limit_s)),
        ", ".join(hands) or words.say("nobody was signed in"),
        _known(cure, words),
        "; ".join(map(words.say, cure.marks)) or words.say("nothing"),
    )
    return PressStay(name=cure.step, facts=facts)


def _moment(at: datetime, shop: Shop) -> str:
    return exact_moment(at, shop.hours.zone, shop.words.language)


def _exact(seconds: float | None, words: Words) -> str:
    """Seconds to a tenth, from a minute on in two units too; nothing is rounded up to its limit."""
    if seconds is None:
        return NO_FIGURE
    exact = f"{number(f'{int(seconds * 10) / 10:.10g}', words)} s"
    return exact if seconds < MINUTE_S else f"{exact} ({duration(int(seconds))})"


def _known(cure: Cure, words: Words) -> str:
    if cure.stopped:
        return words.say("the press went down before its time was over: it does not count")
    if cure.left:
        return words.say("the piece was spoiled or given up in there")
    if cure.opened:
        return words.say("both its closing and its opening are recorded")
    if cure.passed:
        return words.say("assumed: a later scan shows that it was over")
    return words.say("its closing is recorded; its opening is not yet")


def _rows(
    piece: Piece, cures: Sequence[Cure], lots: Sequence[Used], ledger: Ledger, words: Words
) -> Iterator[tuple[Recorded, str]]:
    """The rows that the record rests on, with what each says."""
    say = words.say
    opened = {used.row: used for used in lots}
    for seq, used in sorted(opened.items()):
        lot = _row(ledger, seq)
        assert isinstance(lot.event, LotOpened)
        station = lot.event.at_station or say("every station")
        yield lot, say("{lot} opened for {station}", lot=used.name(words), station=station)
    told = {
        StepStarted: say("closed"),
        StepDone: say("opened"),
        StepAssumed: say("assumed"),
        StepInterrupted: say("the press went down"),
    }
    for n in dict.fromkeys(cure.index for cure in cures):
        if n and (before := row_of_end(piece, n - 1)):
            yield before, f"{piece.route[n - 1].label}: {say('done')}"
        for row in (row for cure in cures if cure.index == n for row in cure.rows):
            yield row, f"{piece.route[n].label}: {told[type(row.event)]}"
    for contradiction in piece.contradictions:
        assert isinstance(contradiction.event, Contradicted)
        yield contradiction, f"{piece.route[contradiction.event.step].label}: {say('contradicted')}"


def _row(ledger: Ledger, seq: int) -> Recorded:
    return next(ledger.rows(seq - 1, seq))


def _proof(row: Recorded, what: str, ledger: Ledger, shop: Shop) -> Proof:
    hands = shop.words.say("by {badge}", badge=row.badge) if row.badge else None
    device = shop.words.say("by hand") if row.device == BY_HAND else row.device
    return Proof(
        row=row.seq,
        what=what,
        at=_moment(row.occurred_at, shop),
        where=", ".join(filter(None, (row.station, hands, device))) or NO_FIGURE,
        hash=_hash(ledger, row.seq),
    )


def _hash(ledger: Ledger, seq: int) -> str:
    return next(ledger.stored(seq - 1, seq)).hash
