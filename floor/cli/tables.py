"""Answers as tables in a terminal.

Never computes: what is shown is what `--json` answers.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from rich.console import Console, Group, RenderableType
from rich.table import Table
from rich.text import Text

from floor.wording import (
    NOTHING,
    day_and_time,
    duration,
    figure,
    full_moment,
    money,
    of_limit,
    percent,
    quantity,
)
from shared.harmless import harmless
from shared.money import ELEMENTS
from shared.shop import Shop

WIDTH_OFF_TERMINAL = 100
TRACED_MAX = 60
"""Pieces of a trace that are listed; nobody reads on, and `--json` has them all."""

Answer = Mapping[str, Any]


def _console() -> Console:
    console = Console(highlight=False)
    if console.is_terminal:
        return console
    return Console(width=WIDTH_OFF_TERMINAL, no_color=True, highlight=False)


def width() -> int:
    """Columns of standard output; off a terminal a fixed number."""
    return _console().width


def out(what: RenderableType) -> None:
    """Draw on standard output; off a terminal without colour."""
    _console().print(what)


def _table(*columns: str, right: Iterable[str] = ()) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    numbers = set(right)
    for column in columns:
        table.add_column(column, justify="right" if column in numbers else "left", no_wrap=column in numbers)
    return table


def _cells(*values: object) -> list[Text]:
    return [Text(harmless(str(value))) for value in values]


def _when(text: str | None, shop: Shop) -> str:
    return full_moment(datetime.fromisoformat(text), shop.hours.zone) if text else NOTHING


def _word(element: str) -> str:
    return element.replace("_", " ")


def quote_text(answer: Answer) -> RenderableType:
    """A quote: of each line what one piece costs in each size, and the line; then the whole job."""
    currency, lines = answer["currency"], answer["lines"]
    parts = [part for line in lines for part in _line_quote(line, currency)]
    if len(lines) > 1:
        parts += [
            Text(f"The whole job: {answer['pieces']} pieces", style="bold"),
            _job_quote(answer),
            _margin(answer, currency),
        ]
    return Group(*parts)


def _line_quote(line: Answer, currency: str) -> list[RenderableType]:
    places = ", ".join(line["places"])
    head = f"line {line['line']}: {line['quantity']} × {line['design']} on {line['item']}, {line['colour']}; {places}"
    costs = [*_by_cost(line["sizes"]), ("each", line["each"]), ("line", line["cost"])]
    columns = [name for name, _ in costs]
    table = _table(f"cost, {currency}", *columns, right=columns)
    for element in (*ELEMENTS, "total"):
        table.add_row(*_cells(_word(element), *(figure(cost[element], currency) for _, cost in costs)))
    blank = [""] * (len(costs) - 2)
    table.add_row(*_cells("price", *blank, figure(line["price_each"], currency), figure(line["price"], currency)))
    parts = ", ".join(f"{part} {figure(amount, currency)}" for part, amount in line["parts"].items())
    words = [Text(harmless(f"In each: {parts}."))] if parts else []
    return [Text(harmless(head), style="bold"), table, *words, _margin(line, currency)]


def _by_cost(sizes: Answer) -> list[tuple[str, Answer]]:
    """The sizes that cost the same, with what one of them costs; none where all do, for "each" says it."""
    alike: dict[str, tuple[list[str], Answer]] = {}
    for size, found in sizes.items():
        alike.setdefault(str(found["each"]), ([], found["each"]))[0].append(size)
    return [(" ".join(names), each) for names, each in alike.values()] if len(alike) > 1 else []


def _job_quote(answer: Answer) -> Table:
    table = _table(f"cost, {answer['currency']}", "job", right=["job"])
    for element in (*ELEMENTS, "total"):
        table.add_row(*_cells(_word(element), figure(answer["cost"][element], answer["currency"])))
    table.add_row(*_cells("price", figure(answer["price"], answer["currency"])))
    return table


def _margin(answer: Answer, currency: str) -> Text:
    margin, share = f"Margin {money(Decimal(answer['margin']), currency)}", answer["margin_share"]
    return Text(f"{margin}, {percent(float(share))} of the price.\n" if share else f"{margin}.\n")


def ink_text(name: str, answer: Answer) -> RenderableType:
    """The ink of one print."""
    currency, pixels = answer["currency"], " × ".join(f"{side:,}" for side in answer["pixels"])
    size = " × ".join(quantity(Decimal(answer[key])) for key in ("width_mm", "height_mm"))
    head = f"{name}: {pixels} pixels on {size} mm, {answer['dpi']} dpi, {answer['shade']} garment ({answer['colour']})"
    table = _table("ink", "covers", "ml", currency, right=("covers", "ml", currency))
    for ink in ("white", "colour"):
        covers, ml = percent(float(answer["coverage"][ink])), quantity(Decimal(answer[f"{ink}_ml"]), 3)
        table.add_row(*_cells(ink, covers, ml, figure(answer["cost"][f"{ink}_ink"], currency)))
    table.add_row(*_cells("total", "", "", figure(answer["cost"]["total"], currency)))
    note = "An estimate from the artwork: the printer's own software decides."
    return Group(Text(harmless(head)), table, Text(note))


def job_lines(answers: Iterable[Answer], shop: Shop) -> RenderableType:
    """Every job in a line."""
    table = _table("job", "state", "finished", "of", "spoiled", "due", "customer", right=("finished", "of", "spoiled"))
    for job in answers:
        figures = (job["finished"], job["pieces"], job["spoiled"])
        table.add_row(*_cells(job["job"], job["state"], *figures, _when(job["due"], shop), job["customer"]))
    return table if table.row_count else Text("No job yet. Take one with: piecewalk job add FILE")


def job_text(answer: Answer, shop: Shop) -> RenderableType:
    """One job and its pieces."""
    head = f"{answer['job']} for {answer['customer']}, due {_when(answer['due'], shop)}: {answer['state']}"
    table = _table("piece", "line", "no.", "size", "state", "next", "remake of", right=("line", "no."))
    for piece in answer["walks"]:
        table.add_row(
            *_cells(
                piece["piece"],
                piece["line"],
                piece["number"],
                piece["size"],
                piece["state"],
                piece["next"] or NOTHING,
                piece["remake_of"] or NOTHING,
            )
        )
    return Group(Text(harmless(head), style="bold"), table)


def piece_text(answer: Answer, shop: Shop) -> RenderableType:
    """One piece: walk, times, costs."""
    return Group(
        Text(harmless(_piece_head(answer)), style="bold"),
        *[Text(harmless(line)) for line in _piece_notes(answer)],
        _walk(answer["walk"], shop),
        Text(_cycle_words(answer["cycle_time_s"])),
        _costs(answer),
    )


def _cycle_words(cycle: Answer) -> str:
    if cycle["elapsed"] is None:
        return "Cycle time: known when it is finished."
    return f"Cycle time: {duration(cycle['elapsed'])} elapsed, {duration(cycle['working'])} working."


def _piece_head(answer: Answer) -> str:
    what = f"{answer['item']}, {answer['colour']}, {answer['size']}: {answer['design']}"
    return f"{answer['piece']}  {answer['state']}  {answer['job']} line {answer['line']}  {what}"


def _piece_notes(answer: Answer) -> Iterable[str]:
    if answer["remake_of"]:
        yield f"Remake of {answer['remake_of']}."
    if answer["spoiled_for"]:
        yield f"Spoiled: {answer['spoiled_for']}. Its remake is {answer['remake']}."
    if answer["next"]:
        yield f"Next: {answer['next']}."
    for odd in answer["contradictions"]:
        yield f"To be settled (row {odd['seq']}): {odd['say']}"


def _walk(walk: Iterable[Answer], shop: Shop) -> Table:
    table = _table("step", "done", "station", "badge", "queuing", "processing", "how", right=("queuing", "processing"))
    for step in walk:
        name = f"{step['step']} {step['place'] or ''}".strip()
        how = "assumed" if step["assumed"] else "start derived" if step["derived"] else NOTHING
        times = (duration(step["queuing_s"]), duration(step["processing_s"]))
        done = _when(step["done"], shop)
        table.add_row(*_cells(name, done, step["station"] or NOTHING, step["badge"] or NOTHING, *times, how))
    return table


def _costs(answer: Answer) -> Table:
    table = _table(f"cost, {answer['currency']}", "quoted", "actual", right=("quoted", "actual"))
    for element in (*ELEMENTS, "total"):
        amounts = (answer[kind][element] for kind in ("quoted", "actual"))
        table.add_row(*_cells(_word(element), *(figure(amount, answer["currency"]) for amount in amounts)))
    return table


def lot_lines(answers: Iterable[Answer], shop: Shop) -> RenderableType:
    """Every lot in a line."""
    table = _table("material", "lot", "item", "at", "since", "until")
    for lot in answers:
        where = lot["station"] or "every station"
        times = _when(lot["since"], shop), _when(lot["until"], shop)
        table.add_row(*_cells(_word(lot["material"]), lot["lot"], lot["item"] or NOTHING, where, *times))
    return table if table.row_count else Text("No lot yet. Open one with: piecewalk lot open pretreat LOT")


def trace_text(answer: Answer, shop: Shop) -> RenderableType:
    """One piece: its walk, its cures, its lots; and the pieces that shared something with it."""
    lots = ", ".join(_lot_words(lot) for lot in answer["lots"])
    return Group(
        Text(harmless(f"{_piece_head(answer)}, for {answer['customer']}"), style="bold"),
        *[Text(harmless(line)) for line in _piece_notes(answer)],
        _walk(answer["walk"], shop),
        Text(harmless(f"Lots: {lots or 'none was opened'}.\n")),
        *[Text(harmless(_cure_words(cure, shop))) for cure in answer["cures"]],
        Text("\nPieces that shared a press, a shift or a lot with it, the most suspicious first", style="bold"),
        traced_lines(answer["shared"], shop),
    )


def _lot_words(lot: Answer) -> str:
    perhaps = "perhaps " if lot["assumed"] else ""
    return f"{perhaps}{lot['item'] or _word(lot['material'])} {lot['lot']} ({lot['step']})"


def _cure_words(cure: Answer, shop: Shop) -> str:
    marks = "; ".join(cure["marks"]) or "as it should be"
    times = f"closed {_when(cure['closed'], shop)}, held {_held(cure)}, wet {_wet(cure)}"
    hands = ", ".join(dict.fromkeys(filter(None, (cure["closed_by"], cure["opened_by"])))) or "nobody signed in"
    return f"{cure['step']} at {cure['press'] or 'a press unknown'}: {times}, hands {hands}: {marks}."


def _held(cure: Answer) -> str:
    """Whole seconds that have passed, so that a second too few is seen."""
    return NOTHING if cure["held_s"] is None else f"{int(cure['held_s'])} of {cure['least_s']:g} s"


def _wet(cure: Answer) -> str:
    return NOTHING if cure["wet_s"] is None else of_limit(cure["wet_s"], cure["wet_limit_s"])


def traced_lines(pieces: Sequence[Answer], shop: Shop) -> RenderableType:
    """The pieces of a trace, each of their cures in a line."""
    table = _table("odd", "piece", "for", "press", "closed", "held", "wet", "shares", right=("held", "wet"))
    for piece in pieces[:TRACED_MAX]:
        for cure in piece["cures"] or [None]:
            table.add_row(*_cells(*_traced_cells(piece, cure, shop)))
    more = len(pieces) - TRACED_MAX
    rest = [Text(f"… and {more:,} more, no more suspicious than these; --json has them all.")] if more > 0 else []
    return Group(table, *rest) if pieces else Text("None.")


def _traced_cells(piece: Answer, cure: Answer | None, shop: Shop) -> list[str]:
    state = [] if piece["state"] == "finished" else [piece["state"]]
    odd = "; ".join([*(cure["marks"] if cure else ["not cured"]), *state])
    whose = f"{piece['job']} {piece['customer']}"
    shares = ", ".join(piece["shares"]) or NOTHING
    if cure is None:
        return [odd, piece["piece"], whose, NOTHING, NOTHING, NOTHING, NOTHING, shares]
    closed = day_and_time(datetime.fromisoformat(cure["closed"]), shop.hours.zone) if cure["closed"] else NOTHING
    return [odd, piece["piece"], whose, cure["press"] or NOTHING, closed, _held(cure), _wet(cure), shares]
