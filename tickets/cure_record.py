"""The record of a piece's cure on one page: what was asked, what was scanned, and where the ledger says so.

Never says that a print is fast to washing: a scan cannot know.
"""

from collections.abc import Sequence
from typing import BinaryIO

from babel.numbers import format_decimal
from msgspec import Struct

from shared.words import ENGLISH, Words
from tickets.kit.barcode import qr_side, symbols
from tickets.kit.box import MM, Box
from tickets.kit.pages import new_pen
from tickets.kit.paper import Paper
from tickets.kit.pen import LINE_MM, Pen


class PressStay(Struct, frozen=True, kw_only=True):
    """One stay in a press, written out."""

    name: str
    facts: Sequence[str]
    """One for each word of the record's `asked`."""


class Proof(Struct, frozen=True, kw_only=True):
    """A row of the ledger that the record rests on."""

    row: int
    what: str
    at: str
    where: str
    hash: str


class CureRecord(Struct, frozen=True, kw_only=True):
    """What stands on the record, written out; its captions come with the language that it is drawn in."""

    shop: str
    code: str
    made: str
    facts: Sequence[tuple[str, str]]
    """What the piece is, with a word before each: ("Job", "J0001")."""
    lots: str
    asked: Sequence[str]
    """What is told of each stay: ("Press", "Closed", …)."""
    stays: Sequence[PressStay]
    proofs: Sequence[Proof]
    verified: str
    """How far the ledger was verified."""


GAP = 3 * MM
TITLE, TEXT, SMALL = 20.0, 9.5, 7.5
"""Points."""
WORD_MM, ROW_MM, PROOF_MM, FOOT_MM = 30.0, 5.6, 7.6, 17.0
"""The widths of words, and the heights of rows where the page has room for all of them."""
FACT_MM, FACT_WORD_MM, MOMENT_MM, PLACE_MM, FINE_MM = 6.5, 18.0, 38.0, 44.0, 0.1


def cure_record(record: CureRecord, paper: Paper, out: BinaryIO, words: Words = ENGLISH) -> None:
    """The record as a PDF of one page."""
    title = words.say("Cure of piece {piece}", piece=record.code)
    pen = new_pen(out, paper, title=title, author=record.shop, words=words)
    page = Box(0, 0, *paper.page).inset(paper.margin_mm * MM)
    head, rest = page.cut_top(16 * MM, GAP)
    foot, rest = rest.cut_bottom(FOOT_MM * MM, GAP)
    code, rest = rest.cut_top(qr_side(pen), GAP)
    lines = (len(record.facts) + 1) // 2
    facts, rest = rest.cut_top(lines * FACT_MM * MM)
    lots, rest = rest.cut_top(FACT_MM * MM, GAP)
    stays, proofs = rest.cut_top(ROW_MM * MM * (len(record.asked) + 1), 2 * GAP)
    _head(pen, record, head)
    symbols(pen, record.code, code)
    _facts(pen, record.facts, facts)
    _fact(pen, pen.say("Lots"), record.lots, lots)
    _stays(pen, record, stays)
    _proofs(pen, record.proofs, proofs)
    _foot(pen, record, foot)
    pen.canvas.showPage()
    pen.canvas.save()


def _head(pen: Pen, record: CureRecord, box: Box) -> None:
    small, large = box.cut_top(5 * MM)
    shop, made = small.cut_left(box.width * 0.6, GAP)
    pen.words(shop, record.shop, "regular", size=TEXT)
    pen.words(made, record.made, "regular", size=TEXT, align="right")
    pen.words(large, pen.say("Record of a cure"), size=TITLE)


def _facts(pen: Pen, facts: Sequence[tuple[str, str]], box: Box) -> None:
    """In two columns, read downwards."""
    lines = (len(facts) + 1) // 2
    cells = [cell for column in box.columns(2, GAP) for cell in column.rows(lines)]
    for (word, text), cell in zip(facts, cells, strict=False):
        _fact(pen, word, text, cell)


def _fact(pen: Pen, word: str, text: str, box: Box) -> None:
    left, right = box.cut_left(FACT_WORD_MM * MM, GAP)
    pen.words(left, word, "regular", size=SMALL)
    pen.words(right, text, size=TEXT, lines=2, least=5)


def _stays(pen: Pen, record: CureRecord, box: Box) -> None:
    """What was asked and what was scanned, each stay in a column."""
    first, *rows = box.rows(len(record.asked) + 1)
    columns = [[stay.name, *stay.facts] for stay in record.stays]
    for row, word, *texts in zip([first, *rows], ["", *record.asked], *columns, strict=True):
        left, right = row.cut_left(WORD_MM * MM, GAP)
        pen.words(left, word, "regular", size=SMALL)
        for cell, text in zip(right.columns(len(texts), GAP), texts, strict=True):
            pen.words(cell, text, "bold" if row is first else "regular", size=TEXT, lines=2, least=5)
        pen.rule(row, LINE_MM if row is first else FINE_MM)


def _proofs(pen: Pen, proofs: Sequence[Proof], box: Box) -> None:
    """The rows of the ledger, closer together the more there are."""
    title, rest = box.cut_top(ROW_MM * MM)
    pen.words(title, pen.say("In the ledger"), size=TEXT)
    pen.rule(title, LINE_MM)
    height = min(PROOF_MM * MM, rest.height / len(proofs))
    for proof in proofs:
        row, rest = rest.cut_top(height)
        _proof(pen, proof, row)


def _proof(pen: Pen, proof: Proof, box: Box) -> None:
    told, hashed = box.cut_bottom(box.height * 0.1)[1].rows(2)
    number, told = told.cut_left(FACT_WORD_MM * MM, GAP)
    where, told = told.cut_right(PLACE_MM * MM, GAP)
    at, what = told.cut_right(MOMENT_MM * MM, GAP)
    row = pen.say("row {number}", number=format_decimal(proof.row, locale=pen.language.language))
    pen.words(number, row, "regular", size=SMALL, least=4)
    pen.words(what, proof.what, size=SMALL, least=4)
    for cell, text in ((at, proof.at), (where, proof.where)):
        pen.words(cell, text, "regular", size=SMALL, least=4)
    pen.words(hashed.cut_left(FACT_WORD_MM * MM, GAP)[1], proof.hash, "regular", size=SMALL, least=4)
    pen.rule(box, FINE_MM)


def _foot(pen: Pen, record: CureRecord, box: Box) -> None:
    pen.filled(box.cut_top(pen.whole(LINE_MM))[0])
    caution, verified = box.inset(0, 1 * MM).rows(2, 1 * MM)
    certifies = pen.say(
        "This record tells what was scanned, or typed in where a row says so. It does not certify that the print is "
        "fast to washing, nor what the press had for temperature and pressure: what was asked is what the ticket says "
        "to set."
    )
    pen.words(caution, certifies, size=SMALL + 0.5, lines=2, stand="top")
    pen.words(verified, record.verified, "regular", size=SMALL, lines=2, stand="top")
