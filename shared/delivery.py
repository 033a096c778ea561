"""What a bench hands to the floor over the network, and what it gets back.

Never trusts a bench's clock: how long ago a read was is what counts.
"""

from datetime import UTC, datetime, timedelta
from typing import Annotated

from msgspec import Meta, Struct

from shared.scan import Answer

PATH = "/api/scans"
READS_MAX = 100
"""Reads in one request; a bench with more sends several."""
BODY_BYTES_MAX = 65_536
"""A hundred reads of the usual length take half of it. A longer body is refused unread."""
CLOCKS_AGREE_S = 5.0
"""As far as this a bench's clock may be off before its reads are placed by their age."""
AGE_BELIEVED_S = 90 * 86_400.0
"""No bench keeps a read so long: an older one was read while its clock stood in another year."""

_PLAIN = r"^[^\x00-\x1f\x7f]*$(?!\n)"
"""No control characters; in Python `$` alone would let one line feed pass at the end."""

ReadId = Annotated[str, Meta(pattern=r"^[0-9A-Za-z_-]{8,64}$(?!\n)", description="Made once, at the read.")]
Text = Annotated[str, Meta(max_length=300, pattern=_PLAIN, description="What was read, a code or not.")]
SentName = Annotated[str, Meta(min_length=1, max_length=120, pattern=_PLAIN)]
Moment = Annotated[datetime, Meta(tz=True, description="When it was read, by the bench's clock.")]
Age = Annotated[float, Meta(ge=0, description="How many seconds ago it was read, when it is sent.")]


class Delivery(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """One read on its way from a bench. Sent again after any doubt, it bears the same `read_id`."""

    read_id: ReadId
    text: Text
    at: Moment
    age_s: Age = 0.0
    device: SentName
    station: SentName | None = None
    badge: SentName | None = None


class Receipt(Struct, frozen=True, kw_only=True):
    """The floor's answer to one read; the read is in its ledger for good."""

    read_id: str
    answer: Answer


class Refusal(Struct, frozen=True, kw_only=True):
    """Why a request was not taken, for a person."""

    what: str
    where: str = ""
    found: str = ""
    allowed: str = ""
    do: str = ""

    def line(self) -> str:
        """What, where and what to do, in one line."""
        return " ".join(part for part in (f"{self.where}:" if self.where else "", f"{self.what}.", self.do) if part)


class Refused(Struct, frozen=True, kw_only=True):
    """The body of every answer that is no success."""

    error: Refusal


def occurred_at(at: datetime, age_s: float, now: datetime) -> datetime:
    """When a read took place, UTC, by the floor's clock; never later than `now`.

    `at` is what the bench's clock said and `age_s` how long ago that was. Where both agree, to a few seconds, `at`
    is kept as it is; else the age rules, whose only error is the time on the wire. An age beyond belief tells
    nothing: then the read was made at some time before it came, and counts from when it came.
    """
    if age_s > AGE_BELIEVED_S:
        return now
    by_age = now - timedelta(seconds=age_s)
    if abs((at - by_age).total_seconds()) > CLOCKS_AGREE_S:
        return by_age
    return min(at.astimezone(UTC), now)
