"""Whether the shop file is still the one that the floor was started with; when it is not, that is said once.

Never reloads: what was decided by one file and what is decided by another do not mix on one floor.
"""

from collections.abc import Callable
from pathlib import Path

from floor.core.orders.currency import OtherCurrency, check_currency
from floor.doors.unusable import unusable
from floor.service.service import Service
from shared.files.problems import ProblemsFound
from shared.files.shop import load_shop
from shared.files.shopfile import FILE_NAME

CHANGED = "shop.toml was changed: the floor still runs on the one it started with; stop it and start it again"
UNSOUND = (
    "shop.toml was changed and cannot be used as it is: the floor still runs on the one it started with; "
    "mend the file before you stop the floor"
)


class ShopChange:
    """Looks at the shop file, each minute: `notice` is what to tell people, nothing while the file is the same."""

    def __init__(self, service: Service, folder: Path, say: Callable[[str], None]) -> None:
        self.notice = ""
        self._service = service
        self._folder = folder
        self._say = say
        self._begun_with = self._seen = self._content()

    def look(self) -> None:
        """Say that the file was changed, once for each change; when it is what it was, there is nothing to tell."""
        content = self._content()
        if content == self._seen:
            return
        self._seen = content
        problem = self._problem() if content != self._begun_with else None
        self.notice = "" if content == self._begun_with else UNSOUND if problem else CHANGED
        if self.notice:
            self._say(f"{self.notice}: {problem}" if problem else f"{self.notice}.")

    def _content(self) -> bytes | None:
        try:
            return (self._folder / FILE_NAME).read_bytes()
        except OSError:
            return None

    def _problem(self) -> str | None:
        """The first thing that would keep a floor from being started with the file as it is now."""
        try:
            shop = load_shop(self._folder)
            with self._service.reading() as floor:
                check_currency(floor, shop.currency)
        except ProblemsFound as error:
            return error.problems[0].line()
        except OtherCurrency as error:
            return str(error)
        return next((problem.line() for problem in unusable(shop)), None)
