"""What can go wrong between the floor and its ledger, one class for each thing that a caller can do about it.

Never hides a programmer's mistake: what is not named here is raised as it is.
"""


class LedgerError(Exception):
    """Something that the world did to the ledger. Its text is one line: where, what, and what to do."""


class Unavailable(LedgerError):
    """The ledger cannot be reached or written just now: try again, with the same read ids.

    Whether the last transaction was stored is unknown, so what is sent again must bear the id that it had.
    """


class Missing(Unavailable):
    """There is no ledger where it should be. None is made there but by who says so: see `make_ledger`."""


class Replaced(Unavailable):
    """Where the ledger was lies another one, or an older copy: nothing is written to that, lest both be wrong."""


class Broken(LedgerError):
    """The disk said that a write failed: nothing more is written until the ledger is opened anew."""


class Damaged(LedgerError):
    """What is stored is not what was written."""


class TooNew(LedgerError):
    """The ledger was written by a newer program than this one."""


class ReadTwice(LedgerError):
    """A read with this id is in the ledger already."""


class NotEmpty(LedgerError):
    """A ledger that was to be copied into has rows already."""


class Busy(LedgerError):
    """More work is waiting than the writer may hold: keep the read and try again."""


class Stopped(LedgerError):
    """The writer was stopped and takes no more work."""
