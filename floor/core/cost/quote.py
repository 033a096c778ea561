"""The quote: what one good piece should cost, and what the order brings.

Never looks at the ledger: a quote is standards times prices, frozen when the job is taken.
"""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from msgspec import Struct

from floor.core.cost.pricing import listed_price, margin_share
from floor.core.cost.quantities import blank, hours, labour, machine, materials, overhead, setup
from shared.events.jobs import Line, PrintSize
from shared.files.jobfile import JobFile, JobLine, route_of, shade_of
from shared.files.shop import Shop
from shared.money import Charge, Costing, Element, by_element, measured, rounded, rounded_parts, shown, summed
from shared.route import UNCALIBRATED, Factors, Route, Step


def work_on_each(shop: Shop, route: Route, quantity: int) -> list[Charge]:
    """What every size of a line takes alike: standard materials and times, and a share of the setup."""
    work = [charge for step in route for charge in (*materials(shop.price_list, step), *_work(shop, step, quantity))]
    return [*work, *_rest(shop, route)]


def _rest(shop: Shop, route: Route) -> Iterator[Charge]:
    """For what hands rest, and are held up: relaxation and contingency, ILO, "Introduction to Work Study".

    It is in no step, for a step is measured without it.
    """
    if share := shop.file.allowance.share:
        touch = sum((hours(step.touch_s) for step in route), Decimal(0))
        yield Charge(element="labour", quantity=measured(touch * share), price=shop.price_list.hands_hour())


def _work(shop: Shop, step: Step, quantity: int) -> Iterator[Charge]:
    """The standard time of hands and of the machine, at the rates of the shop file."""
    hand_rate, machine_rate = shop.price_list.hands_hour(), shop.price_list.machine_hour(step.key)
    yield labour(step, step.touch_s, hand_rate)
    if step.has_machine:
        yield machine(step, step.occupied_s, machine_rate)
    yield from setup(step, quantity, hand_rate, machine_rate)


def good_piece(shop: Shop, blank: Charge, work: Iterable[Charge]) -> Costing:
    """The charges of one good piece: its blank, the work on it, overhead, and the allowance for spoilage."""
    charges = [blank, *work]
    charges.append(overhead(shop.price_list, charges))
    return (*charges, _allowance(shop, charges))


def _allowance(shop: Shop, charges: Iterable[Charge]) -> Charge:
    """Spoilage to be expected: a share of all the other elements."""
    return Charge(element="spoilage", loss="allowance", quantity=shop.prices.spoilage_allowance, price=_total(charges))


def quoted_lines(job: JobFile, shop: Shop, factors: Factors = UNCALIBRATED) -> tuple[Line, ...]:
    """The lines of a job with their prices and the frozen quote of each size, estimates of ink by the factors."""
    return tuple(_quoted_line(number, line, shop, factors) for number, line in enumerate(job.lines, start=1))


def _quoted_line(number: int, line: JobLine, shop: Shop, factors: Factors) -> Line:
    work = work_on_each(shop, route_of(line, shop, factors), line.quantity)
    quoted = {size: good_piece(shop, blank(shop.item(line.item).blank_cost(size)), work) for size in line.sizes}
    return Line(
        number=number,
        design=line.design,
        item=line.item,
        colour=line.colour,
        shade=shade_of(line, shop),
        sizes=line.sizes,
        places=tuple(each.place for each in line.prints),
        print_sizes={each.place: PrintSize(width_mm=each.width_mm, height_mm=each.height_mm) for each in line.prints},
        artwork={each.place: each.artwork for each in line.prints if each.artwork},
        price_each=_price_each(line, shop, quoted),
        quoted=quoted,
    )


def _price_each(line: JobLine, shop: Shop, quoted: dict[str, Costing]) -> Decimal:
    if line.price_each is not None:
        return line.price_each
    cost = sum((_total(quoted[size]) * pieces for size, pieces in line.sizes.items()), Decimal(0))
    return listed_price(shop, line.item, line.quantity, cost)


def _total(charges: Iterable[Charge]) -> Decimal:
    return sum((charge.amount for charge in charges), Decimal(0))


def line_cost(line: Line) -> dict[Element, Decimal]:
    """What a line should cost, exact, by element."""
    return summed(
        {element: amount * line.sizes[size] for element, amount in by_element(costing).items()}
        for size, costing in line.quoted.items()
    )


def line_price(line: Line, unit: Decimal) -> Decimal:
    """What a line brings, as it stands on the bill."""
    return rounded(line.price_each * line.quantity, unit)


class SizeQuote(Struct, frozen=True, kw_only=True):
    """One size of a line: how many, and what each costs, by element."""

    quantity: int
    each: dict[str, Decimal]


class LineQuote(Struct, frozen=True, kw_only=True):
    """A line's cost of one piece (the mean of its sizes), the whole cost, price and margin.

    Amounts in the currency's minor unit; elements, and `parts`, add up. The share of the price that is margin is worked
    out from the cost before that is rounded; None where nothing is asked for it.
    """

    line: int
    design: str
    item: str
    colour: str
    places: tuple[str, ...]
    quantity: int
    sizes: dict[str, SizeQuote]
    each: dict[str, Decimal]
    parts: dict[str, Decimal]
    price_each: Decimal
    cost: dict[str, Decimal]
    price: Decimal
    margin: Decimal
    margin_share: Decimal | None


class Quote(Struct, frozen=True, kw_only=True):
    """All lines of a job, and the same for the whole."""

    currency: str
    pieces: int
    lines: list[LineQuote]
    cost: dict[str, Decimal]
    price: Decimal
    margin: Decimal
    margin_share: Decimal | None


def quote_answer(lines: Iterable[Line], currency: str, unit: Decimal) -> Quote:
    """A quote as it is told."""
    lines = list(lines)
    costs = [line_cost(line) for line in lines]
    exact = summed(costs)
    cost, price = shown(exact, unit), sum((line_price(line, unit) for line in lines), Decimal(0))
    return Quote(
        currency=currency,
        pieces=sum(line.quantity for line in lines),
        lines=[_line_quote(line, cost, unit) for line, cost in zip(lines, costs, strict=True)],
        cost=cost,
        price=price,
        margin=price - cost["total"],
        margin_share=margin_share(price, sum(exact.values(), Decimal(0))),
    )


def _line_quote(line: Line, exact: dict[Element, Decimal], unit: Decimal) -> LineQuote:
    each = {element: amount / line.quantity for element, amount in exact.items()}
    cost, price = shown(exact, unit), line_price(line, unit)
    return LineQuote(
        line=line.number,
        design=line.design,
        item=line.item,
        colour=line.colour,
        places=line.places,
        quantity=line.quantity,
        sizes={size: _size_quote(line, size, unit) for size in line.sizes},
        each=shown(each, unit),
        parts=_parts(line, sum(each.values(), Decimal(0)), unit),
        price_each=_as_agreed(line.price_each, unit),
        cost=cost,
        price=price,
        margin=price - cost["total"],
        margin_share=margin_share(price, sum(exact.values(), Decimal(0))),
    )


def _as_agreed(price: Decimal, unit: Decimal) -> Decimal:
    """A price of one in whole minor units, or with all its digits where it has more: that is what is multiplied."""
    whole = rounded(price, unit)
    return whole if whole == price else price


def _size_quote(line: Line, size: str, unit: Decimal) -> SizeQuote:
    return SizeQuote(quantity=line.sizes[size], each=shown(by_element(line.quoted[size]), unit))


def _parts(line: Line, each: Decimal, unit: Decimal) -> dict[str, Decimal]:
    """What one piece costs for each of several places, and for setup; parts that add up to the mean of its sizes."""
    exact: dict[str, Decimal] = {}
    for charge in next(iter(line.quoted.values())):  # all sizes take the same work
        if part := _part(charge):
            exact[part] = exact.get(part, Decimal(0)) + charge.amount
    if not exact:
        return {}
    exact["all else"] = each - sum(exact.values(), Decimal(0))
    return dict(zip(exact, rounded_parts([*exact.values()], unit), strict=True))


def _part(charge: Charge) -> str | None:
    return "setup" if charge.setup else charge.place or None
