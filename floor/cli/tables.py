"""Answers as tables in a terminal.

Never computes: what is shown is what `--json` answers.
"""

from collections.abc import Iterable, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from rich.console import Console, Group, RenderableType
from rich.table import Table
from rich.text import Text

from floor.wording import NOTHING, duration, figure, full_moment, money, percent, quantity
from shared.harmless import harmless
from shared.money import ELEMENTS
from shared.shop import Shop

WIDTH_OFF_TERMINAL = 100

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
    """A quote: each line's cost of one piece, the whole cost, price and margin."""
    currency = answer["currency"]
    lines = [f"line {line['line']}" for line in answer["lines"]]
    table = _table("element", *lines, "job", right=[*lines, "job"])
    for element in (*ELEMENTS, "total"):
        each = [figure(line["each"][element], currency) for line in answer["lines"]]
        table.add_row(*_cells(_word(element), *each, figure(answer["cost"][element], currency)))
    prices = [figure(line["price_each"], currency) for line in answer["lines"]]
    table.add_row(*_cells("price", *prices, figure(answer["price"], currency)))
    share = answer["margin_share"]
    margin = f"Margin {money(Decimal(answer['margin']), currency)}"
    words = f"{margin}, {percent(float(share))} of the price." if share else f"{margin}."
    heads = [
        Text(
            harmless(f"line {line['line']}: {line['quantity']} × {line['design']} on {line['item']}, {line['colour']}")
        )
        for line in answer["lines"]
    ]
    return Group(*heads, Text(f"Cost of one piece of each line, and of the job, in {currency}:"), table, Text(words))


def _line_words(line: Answer) -> str:
    return f"line {line['line']}: {line['quantity']} × {line['design']} on {line['item']}, {line['colour']}"


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
