"""What one table of a shop file says of another: every name that points nowhere, every item that does not fit.

Never looks at a single value by itself: shared.files.shopfile has done that.
"""

from collections.abc import Collection, Iterator, Sequence

from shared.codes import serial_of_name
from shared.files.near import nearest
from shared.files.problems import Problem
from shared.files.shopfile import Item, ShopFile, StationTable
from shared.files.tomltext import shown_text


def shop_problems(shop: ShopFile, file: str) -> list[Problem]:
    """Every reference of a shop file that does not hold."""
    found = [
        *(_unknown(*pointer) for pointer in _pointers(shop) if pointer[1] not in pointer[2]),
        *_routes(shop),
        *_shades(shop),
        *_breaks(shop),
        *_unserved(shop),
        *_names_twice(shop),
        *_cards(shop),
        *_heights(shop),
    ]
    return [Problem(where=f"{file}: {where}", found=what, allowed=allowed, do=do) for where, what, allowed, do in found]


Finding = tuple[str, str, str, str]
"""Where, what was found, what is allowed, what to do."""


def _unknown(where: str, name: str, known: Collection[str], kind: str) -> Finding:
    near = nearest(name, known)
    do = f'Write: "{near}"' if near else f'Add {kind} "{name}", or use one of those'
    return (where, shown_text(name), f"a {kind}: {', '.join(known) or 'none is defined'}", do)


def _pointers(shop: ShopFile) -> Iterator[tuple[str, str, Collection[str], str]]:
    """Every name that points to something: where it stands, the name, all that it may be, and what kind those are."""
    for name, route in shop.routes.items():
        yield from ((f'routes."{name}"[{n}]', entry.step, shop.steps, "step") for n, entry in enumerate(route))
    for name, item in shop.items.items():
        where = f'items."{name}"'
        yield from ((f"{where}.routes.{shade}", route, shop.routes, "route") for shade, route in item.routes.items())
        yield from ((f"{where}.colours", each, item.shades, "colour of its shades") for each in sorted(item.colours))
        yield from (
            (f"{where}.size_cost", each, item.sizes, "size of its sizes") for each in item.size_cost if item.sizes
        )
    yield from (
        (f"breaks[{n}].item", each.item, shop.items, "item")
        for n, each in enumerate(shop.breaks)
        if each.item is not None
    )
    for n, station in enumerate(shop.stations):
        yield from ((f"stations[{n}].steps[{m}]", step, shop.steps, "step") for m, step in enumerate(station.steps))
    names = [station.name for station in shop.stations]
    for n, scanner in enumerate(shop.scanners):
        if scanner.station is not None:
            yield f"scanners[{n}].station", scanner.station, names, "station"


def _routes(shop: ShopFile) -> Iterator[Finding]:
    for name, route in shop.routes.items():
        for n, entry in enumerate(route):
            if entry.min_s is not None and entry.step in shop.steps and not shop.steps[entry.step].is_press:
                where, do = f'routes."{name}"[{n}].min_s', f"Write: machine_s = {entry.min_s:g}"
                yield (where, f"{entry.min_s:g}", "a least time for a dwell alone", do)
        keys = [entry.step for entry in route]
        for twice in sorted({key for key in keys if keys.count(key) > 1}):
            yield (
                f'routes."{name}"',
                f'"{twice}" twice',
                "each step once",
                "Give the second one a step of its own name",
            )


def _shades(shop: ShopFile) -> Iterator[Finding]:
    for name, item in shop.items.items():
        for colour, shade in item.shades.items():
            if shade not in item.routes:
                yield (
                    f'items."{name}".shades.{colour}',
                    f'"{shade}"',
                    f"a shade that has a route: {', '.join(item.routes)}",
                    f'Write: routes = {{ {shade} = "…" }}',
                )


def _breaks(shop: ShopFile) -> Iterator[Finding]:
    for n, each in enumerate(shop.breaks):
        if any((each.item, each.from_pieces) == (other.item, other.from_pieces) for other in shop.breaks[:n]):
            allowed, do = "one break for each quantity", "Take one of the two out"
            yield (f"breaks[{n}].from_pieces", f"{each.from_pieces} again", allowed, do)


def _unserved(shop: ShopFile) -> Iterator[Finding]:
    served = {step for station in shop.stations for step in station.steps}
    for key in shop.steps:
        if key not in served and any(key == entry.step for route in shop.routes.values() for entry in route):
            yield (
                f"steps.{key}",
                "no station does it",
                "one station or more",
                f'Add "{key}" to the steps of a station',
            )


def _names_twice(shop: ShopFile) -> Iterator[Finding]:
    for n, name in _again([scanner.name for scanner in shop.scanners]):
        yield (f"scanners[{n}].name", f'"{name}" again', "each name once", "Give one of them another name")
    for n, port in _again([scanner.port for scanner in shop.scanners]):
        yield (f"scanners[{n}].port", f'"{port}" again', "one scanner a port", "Name the port of this scanner")


def _again(names: Sequence[str]) -> Iterator[tuple[int, str]]:
    return ((n, name) for n, name in enumerate(names) if name in names[:n])


def _cards(shop: ShopFile) -> Iterator[Finding]:
    """What has a card needs a name whose code is its own: case and white space around it do not count."""
    tables = {
        "stations[{}].name": [station.name for station in shop.stations],
        "badges[{}].name": [badge.name for badge in shop.badges],
        "care[{}].name": [care.name for care in shop.care],
        "reasons[{}]": shop.reasons,
    }
    for where, names in tables.items():
        seen: dict[int, str] = {}
        for n, name in enumerate(names):
            other = seen.setdefault(serial_of_name(name), name)
            if n != names.index(other):
                found = f'"{name}" again' if name == other else f'"{name}", whose card has the code of "{other}"'
                yield (where.format(n), found, "a name of its own for each", "Give one of them another name")


def _heights(shop: ShopFile) -> Iterator[Finding]:
    for name, item in shop.items.items():
        for step in _printed(shop, item):
            rooms = [station.head_room_mm for station in _doing(shop, step)]
            if rooms and item.height_mm > max(rooms):
                yield (
                    f'items."{name}".height_mm',
                    f"{item.height_mm:g}",
                    f"at most {max(rooms):g} mm, the room under the printer's head at {step}",
                    "Use a lower item, or set head_room_mm of the station as its maker states it",
                )
                break


def _printed(shop: ShopFile, item: Item) -> list[str]:
    """The steps of an item's routes that lay down ink."""
    keys = (entry.step for route in item.routes.values() for entry in shop.routes.get(route, ()))
    return [key for key in dict.fromkeys(keys) if key in shop.steps and shop.steps[key].lays_down]


def _doing(shop: ShopFile, step: str) -> list[StationTable]:
    return [station for station in shop.stations if step in station.steps]
