"""Lots and traces as tables in a terminal.

Never computes: what is shown is what `--json` answers.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime

from rich.console import Group, RenderableType
from rich.text import Text

from floor.cli.tables import Answer, cells, piece_head, piece_notes, plain_table, walk_table, when
from floor.core.trace.lots import LotUse
from shared.files.shop import Shop
from shared.harmless import harmless
from shared.wording import NO_FIGURE, day_and_time, full_moment, of_limit, spaced

TRACED_MAX = 60
"""Pieces of a trace that are listed; nobody reads on, and `--json` has them all."""
WHOSE_CELLS = 22
"""Columns for the job and its customer in a trace."""


def lot_lines(lots: Iterable[LotUse], shop: Shop) -> RenderableType:
    """Every lot in a line."""
    table = plain_table("material", "lot", "item", "at", "since", "until")
    zone = shop.hours.zone
    for lot in lots:
        where = lot.station or "every station"
        times = full_moment(lot.since, zone), full_moment(lot.until, zone) if lot.until else NO_FIGURE
        table.add_row(*cells(spaced(lot.material), lot.lot, lot.item or NO_FIGURE, where, *times))
    return table if table.row_count else Text("No lot yet. Open one with: piecewalk lot open pretreat LOT")


def trace_text(answer: Answer, shop: Shop) -> RenderableType:
    """One piece: its walk, its cures, its lots; and the pieces that shared something with it."""
    lots = ", ".join(dict.fromkeys(map(_lot_words, answer["lots"])))
    return Group(
        Text(harmless(f"{piece_head(answer)}, for {answer['customer']}"), style="bold"),
        *[Text(harmless(line)) for line in piece_notes(answer)],
        walk_table(answer["walk"], shop),
        Text(harmless(f"Lots: {lots or 'none was opened'}.\n")),
        *[Text(harmless(_cure_words(cure, shop))) for cure in answer["cures"]],
        Text("\nPieces that shared a press, a shift or a lot with it, the most suspicious first", style="bold"),
        traced_lines(answer["shared"], shop, "shared_lots"),
    )


def _lot_words(lot: Answer) -> str:
    perhaps = "perhaps " if lot["assumed"] else ""
    return f"{perhaps}{lot['item'] or spaced(lot['material'])} {lot['lot']}"


def _cure_words(cure: Answer, shop: Shop) -> str:
    marks = "; ".join(cure["marks"]) or "nothing odd"
    times = f"closed {when(cure['closed'], shop)}, held {_held(cure)}, wet {_wet(cure)}"
    hands = ", ".join(dict.fromkeys(filter(None, (cure["closed_by"], cure["opened_by"])))) or "nobody signed in"
    return f"{cure['step']} at {cure['press'] or 'a press unknown'}: {times}, hands {hands}: {marks}."


def _held(cure: Answer) -> str:
    """Whole seconds that have passed, so that a second too few is seen."""
    return NO_FIGURE if cure["held_s"] is None else f"{int(cure['held_s'])} of {cure['least_s']:g} s"


def _wet(cure: Answer) -> str:
    return NO_FIGURE if cure["wet_s"] is None else of_limit(cure["wet_s"], cure["wet_limit_s"])


def traced_lines(pieces: Sequence[Answer], shop: Shop, lots: str = "lots") -> RenderableType:
    """The pieces of a trace, each of their cures in a line, with all of its lots or its "shared_lots" alone."""
    table = plain_table("odd", "piece", "for", "press", "closed", "held", "wet", spaced(lots), right=("held", "wet"))
    for piece in pieces[:TRACED_MAX]:
        for cure in piece["cures"] or [None]:
            table.add_row(*cells(*_traced_cells(piece, cure, shop), _shared_words(piece, lots)))
    more = len(pieces) - TRACED_MAX
    rest = [Text(f"… and {more:,} more, no more suspicious than these; --json has them all.")] if more > 0 else []
    return Group(table, *rest) if pieces else Text("None.")


def _traced_cells(piece: Answer, cure: Answer | None, shop: Shop) -> list[str]:
    state = [] if piece["state"] == "finished" else [piece["state"]]
    odd = "; ".join([*(cure["marks"] if cure else ["not cured"]), *state])
    whose = harmless(f"{piece['job']} {piece['customer']}", WHOSE_CELLS)
    if cure is None:
        return [odd, piece["piece"], whose, *[NO_FIGURE] * 4]
    closed = day_and_time(datetime.fromisoformat(cure["closed"]), shop.hours.zone) if cure["closed"] else NO_FIGURE
    return [odd, piece["piece"], whose, cure["press"] or NO_FIGURE, closed, _held(cure), _wet(cure)]


def _shared_words(piece: Answer, key: str) -> str:
    """How near it was, and the lots by their own names alone; a question mark where it may have been another lot."""
    lots = dict.fromkeys(f"{lot['lot']}{'?' if lot['assumed'] else ''}" for lot in piece[key])
    return ", ".join([*filter(None, [piece["near"]]), *lots]) or NO_FIGURE
