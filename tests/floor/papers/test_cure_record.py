"""The record of a cure, filled from a ledger: what it says can be found there again."""

from collections.abc import Sequence
from io import BytesIO

import pytest

from floor.core.folds.fold import fold_all
from floor.ledger.check import verified
from floor.papers.cure_record import ASKED, record_of, write_record
from shared.events.recorded import Fact
from shared.events.supplies import LotOpened
from shared.files.shop import parse_shop
from shared.wish import NotPossible
from tests.floor.exports.day import ledger_of
from tests.making import DARK_WALK, Play, shop_data, walk
from tests.tickets.paper import text_of
from tickets.cure_record import CureRecord


def recorded(play: Play, piece: str) -> CureRecord:
    ledger = ledger_of(play)
    floor = fold_all(verified(ledger))
    return record_of(floor, play.shop, floor.pieces[piece], ledger, play.now)


def told(record: CureRecord, stay: int = 0) -> dict[str, str]:
    return dict(zip(ASKED, record.stays[stay].facts, strict=True))


def cured(play: Play, stops: Sequence[tuple[str, float]] = DARK_WALK) -> str:
    event = LotOpened(material="pretreat", lot="L100", at_station="pretreat booth")
    play.record([Fact(event=event, occurred_at=play.now)])
    [piece] = play.job()
    walk(play, piece, stops)
    return piece


def test_it_says_what_was_asked_and_what_was_recorded_in_the_shops_zone() -> None:
    play = Play()
    record = recorded(play, cured(play))
    assert told(record) == {
        "Asked of the press": "cover parchment · 165 °C · 180 s",
        "Press": "press 1",
        "Closed": "Mon 23 Nov 2026 09:06:55 -05:00",
        "Opened": "Mon 23 Nov 2026 09:09:55 -05:00",
        "Held": "180 s (3 min 00 s)",
        "At least": "180 s (3 min 00 s)",
        "Lay wet": "20 s",
        "At most": "1200 s (20 min 00 s)",
        "Hands": "nobody was signed in",
        "How it is known": "both its closing and its opening are recorded",
        "Odd about it": "nothing",
    }
    assert record.lots == "pretreat L100"


def test_what_a_press_held_for_too_long_stands_there_as_odd() -> None:
    play = Play()
    piece = cured(play, (*DARK_WALK[:5], ("press 1", 4_080)))
    assert told(recorded(play, piece))["Odd about it"] == "over its time"


def test_nothing_is_rounded_up_to_its_limit() -> None:
    play = Play()
    piece = cured(play, (*DARK_WALK[:4], ("press 1", 1200.96), ("press 1", 180.04)))
    found = told(recorded(play, piece))
    assert (found["Lay wet"], found["Held"]) == ("1200.9 s (20 min 00 s)", "180 s (3 min 00 s)")
    assert found["Odd about it"] == "over wet limit"


def test_every_row_that_it_names_is_in_the_ledger_with_that_hash() -> None:
    play = Play()
    record = recorded(play, cured(play))
    stored = {row.seq: row for row in ledger_of(play).stored()}
    assert [proof.what for proof in record.proofs] == [
        "pretreat L100 opened for pretreat booth",
        "colour: done",
        "cure: closed",
        "cure: opened",
    ]
    assert [proof.hash for proof in record.proofs] == [stored[proof.row].hash for proof in record.proofs]
    assert f"All {len(stored)} rows" in record.verified
    assert stored[len(stored)].hash in record.verified


def test_a_cure_that_nobody_saw_is_told_as_assumed() -> None:
    steps = shop_data()["steps"]
    play = Play(parse_shop(shop_data(steps={**steps, "cure": {**steps["cure"], "if_missed": "assume"}})))
    piece = cured(play, (*DARK_WALK[:4], ("packing", 600)))
    record = recorded(play, piece)
    assert told(record)["How it is known"].startswith("assumed")
    assert [proof.what for proof in record.proofs][-1] == "cure: assumed"


def test_each_place_that_was_printed_has_its_own_stay() -> None:
    play = Play()
    [piece] = play.job(places=("front", "back"))
    walk(play, piece, (*DARK_WALK[:6], *DARK_WALK))
    assert [stay.name for stay in recorded(play, piece).stays] == ["cure front", "cure back"]


def test_the_record_of_a_german_shop_is_german() -> None:
    play = Play(parse_shop(shop_data(shop={**shop_data()["shop"], "language": "de"})))
    record = recorded(play, cured(play, (*DARK_WALK[:4], ("press 1", 1200.96), ("press 1", 180.04))))
    assert dict(zip(record.asked, record.stays[0].facts, strict=True)) == {
        "Vorgabe": "Abdeckung parchment · 165 °C · 180 s",
        "Presse": "press 1",
        "Geschlossen": "Mo. 23. Nov. 2026 09:26:35 -05:00",
        "Geöffnet": "Mo. 23. Nov. 2026 09:29:36 -05:00",
        "Gepresst": "180 s (3 min 00 s)",
        "Mindestens": "180 s (3 min 00 s)",
        "Lag nass": "1200,9 s (20 min 00 s)",
        "Höchstens": "1200 s (20 min 00 s)",
        "Personen": "niemand war angemeldet",
        "Woher bekannt": "Schließen und Öffnen sind beide verzeichnet",
        "Auffällig": "zu lange nass",
    }
    assert dict(record.facts)["Auftrag"] == "J0001, Position 1, Stück 1 von 1"
    assert record.lots == "Vorbehandlung L100"
    assert [proof.what for proof in record.proofs] == [
        "Vorbehandlung L100 angebrochen für pretreat booth",
        "colour: fertig",
        "cure: geschlossen",
        "cure: geöffnet",
    ]
    out = BytesIO()
    write_record(record, play.shop, "a4", out)
    said = " ".join(text_of(out.getvalue()).split())
    assert "Nachweis einer Fixierung" in said
    english = (*ASKED[2:], "Record", "Customer", "ledger", "made", "row ", "opened")
    assert [word for word in english if word in said] == []


def test_a_piece_that_was_in_no_press_has_no_record() -> None:
    play = Play()
    [piece] = play.job()
    with pytest.raises(NotPossible, match="has not been in a press"):
        recorded(play, piece)
