"""A floor that runs on one shop file while another lies in its folder: people are told, and once."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from floor.doors.shop_change import CHANGED, UNSOUND, ShopChange
from floor.ledger import MemoryLedger
from floor.service.service import Service
from shared.clock import SetClock
from shared.files.shop import load_shop
from shared.files.shopfile import FILE_NAME
from tests.floor.service.test_service import take_job
from tests.making import MONDAY, NEW_SHOP


class Office:
    """A shop file, the floor that was started with it, and what that has said of it since."""

    def __init__(self, folder: Path) -> None:
        self.file = folder / FILE_NAME
        self.begun_with = NEW_SHOP.read_bytes()
        self.file.write_bytes(self.begun_with)
        self.service = Service(load_shop(folder), MemoryLedger(), SetClock(MONDAY))
        self.said: list[str] = []
        self.change = ShopChange(self.service, folder, self.said.append)

    def write(self, old: bytes, new: bytes) -> None:
        text = self.file.read_bytes()
        assert old in text
        self.file.write_bytes(text.replace(old, new))
        self.change.look()


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    office = Office(tmp_path)
    with office.service:
        yield office


def test_a_shop_file_that_stays_as_it_was_is_not_spoken_of(office: Office) -> None:
    office.change.look()
    office.file.write_bytes(office.begun_with)  # saved again, the same
    office.change.look()
    assert (office.said, office.change.notice) == ([], "")


def test_a_changed_shop_file_is_told_once_for_each_change(office: Office) -> None:
    office.write(b"min_s = 180 ", b"min_s = 240 ")
    office.change.look()
    assert office.said == [f"{CHANGED}."]
    office.write(b"min_s = 240 ", b"min_s = 300 ")
    assert office.said == [f"{CHANGED}."] * 2
    assert office.change.notice == CHANGED


def test_a_file_that_is_what_it_was_again_is_no_change_any_more(office: Office) -> None:
    office.write(b"min_s = 180 ", b"min_s = 240 ")
    office.write(b"min_s = 240 ", b"min_s = 180 ")
    assert (office.said, office.change.notice) == ([f"{CHANGED}."], "")


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        (b"min_s = 180 ", b"min_s = 0 ", "shop.toml: steps.cure.min_s: found 0, allowed a least time above 0"),
        (b"[shop]", b"[shop", "shop.toml: line "),
        (b'stock = "label-100x150"', b'stock = "papyrus"', 'shop.toml: shop.stock: found "papyrus"'),
    ],
)
def test_a_file_with_which_no_floor_could_be_started_is_told_with_its_first_problem(
    office: Office, old: bytes, new: bytes, problem: str
) -> None:
    office.write(old, new)
    [said] = office.said
    assert said.startswith(f"{UNSOUND}: {problem}")
    assert office.change.notice == UNSOUND
    office.write(new, old + b" ")
    assert office.said[1:] == [f"{CHANGED}."]


def test_another_currency_than_that_of_the_ledger_s_amounts_cannot_be_started_with(office: Office) -> None:
    office.write(b'currency = "USD"', b'currency = "EUR"')
    assert office.change.notice == CHANGED
    take_job(office.service)
    office.write(b'currency = "EUR"', b'currency = "CHF"')
    assert office.said[1].startswith(f"{UNSOUND}: shop.toml: shop.currency is 'CHF'")


def test_a_file_that_is_gone_is_told(office: Office) -> None:
    office.file.unlink()
    office.change.look()
    assert "no such file" in office.said[0]
    assert office.change.notice == UNSOUND
