"""The quote: what one good piece should cost, and what the order brings.

Never looks at the ledger: a quote is standards times prices, frozen when the job is taken.
"""

from collections.abc import Iterable, Mapping
from decimal import Decimal

from floor.cost.quantities import blank, labour, machine, materials, overhead
from shared.events import Line
from shared.jobfile import JobFile, JobLine, route_of, shade_of
from shared.money import ELEMENTS, Charge, Costing, Element, by_element, rounded, shown, summed
from shared.route import Route, Step
from shared.shop import Shop


def good_piece(shop: Shop, item: str, size: str, route: Route) -> Costing:
    """The charges of one good piece: standard quantities at standard prices, and the allowance for spoilage."""
    charges = [blank(shop, item, size)]
    for step in route:
        charges += [*materials(shop, step), *_work(shop, step)]
    charges.append(overhead(shop, charges))
    return (*charges, _allowance(shop, charges))


def _work(shop: Shop, step: Step) -> list[Charge]:
    """The standard time of hands and of the machine, at the rates of the shop file."""
    work = [labour(step, step.touch_s, shop.prices.labour_per_hour)]
    if step.kind != "hand":
        work.append(machine(step, step.machine_s + step.min_s, shop.machine_rate(step.key)))
    return work


def _allowance(shop: Shop, charges: Iterable[Charge]) -> Charge:
    """Spoilage to be expected: a share of all the other elements."""
    others = sum((charge.amount for charge in charges), Decimal(0))
    return Charge(element="spoilage", what="allowance", quantity=shop.prices.spoilage_allowance, price=others)


def quoted_lines(job: JobFile, shop: Shop) -> tuple[Line, ...]:
    """The lines of a job with the frozen quote of each size."""
    return tuple(_quoted_line(number, line, shop) for number, line in enumerate(job.lines, start=1))


def _quoted_line(number: int, line: JobLine, shop: Shop) -> Line:
    route = route_of(line, shop)
    return Line(
        number=number,
        design=line.design,
        item=line.item,
        colour=line.colour,
        shade=shade_of(line, shop),
        sizes=line.sizes,
        places=tuple(each.place for each in line.prints),
        artwork={each.place: each.artwork for each in line.prints if each.artwork},
        price_each=line.price_each,
        quoted={size: good_piece(shop, line.item, size, route) for size in line.sizes},
    )


def line_cost(line: Line) -> dict[Element, Decimal]:
    """What a line should cost, exact, by element."""
    return summed(
        {element: amount * line.sizes[size] for element, amount in by_element(costing).items()}
        for size, costing in line.quoted.items()
    )


def line_price(line: Line) -> Decimal:
    """What a line brings."""
    return line.price_each * line.quantity


def margin_share(price: Decimal, margin: Decimal) -> str | None:
    """Margin as a share of the price, to a hundredth of a per cent; None where nothing is charged."""
    return str(rounded(margin / price, Decimal("0.0001"))) if price else None


def quote_answer(lines: Iterable[Line], currency: str, unit: Decimal) -> dict[str, object]:
    """A quote as data: each line's cost of one piece (the mean of its sizes), the whole cost, price and margin.

    Money as strings in the currency's minor unit; the elements add up to the total.
    """
    lines = list(lines)
    costs = [line_cost(line) for line in lines]
    cost = shown(summed(costs), unit)
    price = rounded(sum((line_price(line) for line in lines), Decimal(0)), unit)
    margin = price - Decimal(cost["total"])
    return {
        "currency": currency,
        "pieces": sum(line.quantity for line in lines),
        "lines": [_line_answer(line, exact, unit) for line, exact in zip(lines, costs, strict=True)],
        "cost": cost,
        "price": str(price),
        "margin": str(margin),
        "margin_share": margin_share(price, margin),
    }


def _line_answer(line: Line, cost: Mapping[Element, Decimal], unit: Decimal) -> dict[str, object]:
    each = {element: cost[element] / line.quantity for element in ELEMENTS}
    return {
        "line": line.number,
        "design": line.design,
        "item": line.item,
        "colour": line.colour,
        "quantity": line.quantity,
        "each": shown(each, unit),
        "price_each": str(rounded(line.price_each, unit)),
    }
