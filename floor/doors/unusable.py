"""What a shop file that is sound in itself asks for and cannot get: papers, and an address of the pages.

Never tries them out: no port is opened, nothing is printed.
"""

from collections.abc import Iterator

from floor.doors.address import NotOpened, address
from shared.files.problems import Problem
from shared.files.shop import Shop
from shared.files.shopfile import FILE_NAME
from shared.files.tomltext import shown_text


def unusable(shop: Shop) -> Iterator[Problem]:
    """Values of the shop file that are well-formed, but name what the tickets or the pages do not have."""
    from tickets.kit.paper import PAPERS

    stock, listen = shop.file.shop.stock, shop.file.pages.listen
    if stock not in PAPERS:
        yield _problem("shop.stock", stock, ", ".join(PAPERS), f'stock = "{next(iter(PAPERS))}"')
    try:
        address(listen)
    except NotOpened:
        yield _problem("pages.listen", listen, "a host and a port", 'listen = "127.0.0.1:8765"')


def _problem(key: str, value: str, allowed: str, line: str) -> Problem:
    return Problem(where=f"{FILE_NAME}: {key}", found=shown_text(value), allowed=allowed, do=f"Write: {line}")
