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

from floor.core.plan.promise import Promise
from floor.core.trace.history import JobTimesTold
from shared.files.shop import Shop
from shared.harmless import harmless
from shared.money import ELEMENTS
from shared.wording import NO_FIGURE, duration, figure, full_moment, money, percent, price_figure, quantity, spaced

WIDTH_IN_PIPE = 10_000
"""Wider than any table, so that nothing is cut or wrapped that a program reads on."""

Answer = Mapping[str, Any]


def _console() -> Console:
    console = Console(highlight=False)
    if console.is_terminal:
        return console
    return Console(width=WIDTH_IN_PIPE, no_color=True, highlight=False)


def width() -> int:
    """Columns of standard output; in a pipe as many as a table may want."""
    return _console().width


def out(what: RenderableType) -> None:
    """Draw on standard output; off a terminal without colour."""
    _console().print(what)


def plain_table(*columns: str, right: Iterable[str] = ()) -> Table:
    """A table without lines; the columns named in `right` hold figures."""
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    numbers = set(right)
    for column in columns:
        table.add_column(column, justify="right" if column in numbers else "left", no_wrap=column in numbers)
    return table


def cells(*values: object) -> list[Text]:
    """Values from anywhere as cells."""
    return [Text(harmless(str(value))) for value in values]


def when(text: str | None, shop: Shop) -> str:
    """A moment of an answer as people of the shop say it."""
    return full_moment(datetime.fromisoformat(text), shop.hours.zone) if text else NO_FIGURE


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


def promise_text(told: Promise, shop: Shop) -> RenderableType:
    """When a job would be done, and what it would do to others."""
    zone = shop.hours.zone
    if told.expected is None:
        return Text("Taken now, it could not be done: a step of it has no station that works.", style="bold")
    between = (
        f"nine times in ten between {full_moment(told.band.earliest, zone)} and {full_moment(told.band.latest, zone)}"
        if told.band
        else "no band yet: too few jobs were finished since forecasts are noted"
    )
    lines = [f"Taken now, it would be done on {full_moment(told.expected, zone)} ({between})."]
    lines += ["That is later than it is due."] if told.late else []
    lines += [f"It would make late: {', '.join(told.makes_late)}."] if told.makes_late else []
    return Text(harmless("\n".join(lines)), style="bold")


def _line_quote(line: Answer, currency: str) -> list[RenderableType]:
    places = ", ".join(line["places"])
    head = f"line {line['line']}: {line['quantity']} × {line['design']} on {line['item']}, {line['colour']}; {places}"
    costs = [*_by_cost(line["sizes"]), ("each", line["each"]), ("line", line["cost"])]
    columns = [name for name, _ in costs]
    table = plain_table(f"cost, {currency}", *columns, right=columns)
    for element in (*ELEMENTS, "total"):
        table.add_row(*cells(spaced(element), *(figure(cost[element], currency) for _, cost in costs)))
    blank = [""] * (len(costs) - 2)
    table.add_row(*cells("price", *blank, price_figure(line["price_each"], currency), figure(line["price"], currency)))
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
    table = plain_table(f"cost, {answer['currency']}", "job", right=["job"])
    for element in (*ELEMENTS, "total"):
        table.add_row(*cells(spaced(element), figure(answer["cost"][element], answer["currency"])))
    table.add_row(*cells("price", figure(answer["price"], answer["currency"])))
    return table


def _margin(answer: Answer, currency: str) -> Text:
    margin, share = f"Margin {money(Decimal(answer['margin']), currency)}", answer["margin_share"]
    return Text(f"{margin}, {percent(float(share))} of the price.\n" if share else f"{margin}.\n")


def ink_text(name: str, answer: Answer) -> RenderableType:
    """The ink of one print."""
    currency, pixels = answer["currency"], " × ".join(f"{side:,}" for side in answer["pixels"])
    size = " × ".join(quantity(Decimal(answer[key])) for key in ("width_mm", "height_mm"))
    head = f"{name}: {pixels} pixels on {size} mm, {answer['dpi']} dpi, {answer['shade']} garment ({answer['colour']})"
    table = plain_table("ink", "covers", "ml", currency, right=("covers", "ml", currency))
    for ink in ("white", "colour"):
        covers, ml = percent(float(answer["coverage"][ink])), quantity(Decimal(answer[f"{ink}_ml"]), 3)
        table.add_row(*cells(ink, covers, ml, figure(answer["cost"][f"{ink}_ink"], currency)))
    table.add_row(*cells("total", "", "", figure(answer["cost"]["total"], currency)))
    note = "An estimate from the artwork: the printer's own software decides."
    return Group(Text(harmless(head)), table, Text(note))


def job_lines(answers: Iterable[Answer], shop: Shop) -> RenderableType:
    """Every job in a line."""
    table = plain_table(
        "job", "state", "finished", "of", "spoiled", "due", "customer", right=("finished", "of", "spoiled")
    )
    for job in answers:
        figures = (job["finished"], job["pieces"], job["spoiled"])
        table.add_row(*cells(job["job"], _job_state(job), *figures, when(job["due"], shop), job["customer"]))
    return table if table.row_count else Text("No job yet. Take one with: piecewalk job add FILE")


def _job_state(job: Answer) -> str:
    """Its state, and the word that was said about it: "held: no blanks"."""
    return f"{job['state']}: {job['why']}" if job["why"] else str(job["state"])


def job_text(answer: Answer, shop: Shop) -> RenderableType:
    """One job and its pieces."""
    head = f"{answer['job']} for {answer['customer']}, due {when(answer['due'], shop)}: {_job_state(answer)}"
    table = plain_table("piece", "line", "no.", "size", "state", "next", "remake of", right=("line", "no."))
    for piece in answer["walks"]:
        table.add_row(
            *cells(
                piece["piece"],
                piece["line"],
                piece["number"],
                piece["size"],
                piece["state"],
                piece["next"] or NO_FIGURE,
                piece["remake_of"] or NO_FIGURE,
            )
        )
    return Group(Text(harmless(head), style="bold"), Text(_times_words(answer["times"])), table)


def _times_words(times: JobTimesTold | None) -> str:
    if times is None:
        return "Nothing of it was begun."
    told = (
        f"{duration(each.execution_s)} {name}, of which busy {duration(each.busy_s)}, "
        f"queuing {duration(each.queuing_s)}"
        for name, each in (("elapsed", times.elapsed), ("working", times.working))
    )
    return f"In execution {'; '.join(told)}."


def piece_text(answer: Answer, shop: Shop) -> RenderableType:
    """One piece: walk, times, costs."""
    return Group(
        Text(harmless(piece_head(answer)), style="bold"),
        *[Text(harmless(line)) for line in piece_notes(answer)],
        walk_table(answer["walk"], shop),
        Text(_cycle_words(answer["cycle_time_s"])),
        *([Text(harmless(_ink_words(answer["ink"])))] if answer["ink"] else []),
        _costs(answer),
    )


def _ink_words(prints: Iterable[Answer]) -> str:
    how = {True: "read", False: "estimated"}
    return "Ink: " + ", ".join(f"{each['step']} {each['ml']} ml ({how[each['measured']]})" for each in prints) + "."


def _cycle_words(cycle: Answer) -> str:
    if cycle["elapsed"] is None:
        return "Cycle time: known when it is finished."
    return f"Cycle time: {duration(cycle['elapsed'])} elapsed, {duration(cycle['working'])} working."


def piece_head(answer: Answer) -> str:
    """A piece in a line."""
    what = f"{answer['item']}, {answer['colour']}, {answer['size']}: {answer['design']}"
    return f"{answer['piece']}  {answer['state']}  {answer['job']} line {answer['line']}  {what}"


def piece_notes(answer: Answer) -> Iterable[str]:
    """What is odd about a piece, and what comes next."""
    if answer["remake_of"]:
        yield f"Remake of {answer['remake_of']}."
    if answer["spoiled_for"]:
        yield f"Spoiled: {answer['spoiled_for']}. Its remake is {answer['remake']}."
    if answer["next"]:
        yield f"Next: {answer['next']}."
    for odd in answer["contradictions"]:
        yield f"To be settled (row {odd['seq']}): {odd['say']}"


def walk_table(walk: Iterable[Answer], shop: Shop) -> Table:
    table = plain_table(
        "step", "done", "station", "badge", "queuing", "processing", "how", right=("queuing", "processing")
    )
    for step in walk:
        name = f"{step['step']} {step['place'] or ''}".strip()
        how = "assumed" if step["assumed"] else step["basis"] or NO_FIGURE
        if step["why"] and not step["assumed"]:
            how = f"{how}: {step['why']}"
        times = (duration(step["queuing_s"]), duration(step["processing_s"]))
        done = when(step["done"], shop)
        table.add_row(*cells(name, done, step["station"] or NO_FIGURE, step["badge"] or NO_FIGURE, *times, how))
    return table


def _costs(answer: Answer) -> Table:
    table = plain_table(f"cost, {answer['currency']}", "quoted", "actual", right=("quoted", "actual"))
    for element in (*ELEMENTS, "total"):
        amounts = (answer[kind][element] for kind in ("quoted", "actual"))
        table.add_row(*cells(spaced(element), *(figure(amount, answer["currency"]) for amount in amounts)))
    return table
