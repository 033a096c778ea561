"""The currency of a ledger: once there are amounts in it, it stays.

Never converts: there is no rate that would be right for what was quoted last year.
"""

from floor.core.state.floor import Floor
from shared.files.shopfile import FILE_NAME


class OtherCurrency(ValueError):
    """The shop file names another currency than that of the amounts in the ledger; the text says what to do."""


def check_currency(floor: Floor, currency: str) -> None:
    """Raises OtherCurrency where the shop file's currency would only put another name to amounts in the ledger."""
    known = {*(job.currency for job in floor.jobs.values()), *floor.supplies.receipts.currencies}
    if other := min(known - {currency}, default=None):
        raise OtherCurrency(
            f"{FILE_NAME}: shop.currency is {currency!r}, but the ledger has amounts in {other}. "
            f'Write: currency = "{other}". For another currency make a new shop with: piecewalk init DIR'
        )
