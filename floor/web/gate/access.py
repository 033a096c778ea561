"""Who may look at what is not for everybody.

Never decides about benches: floor.doors.intake does.
"""

from ipaddress import ip_address
from urllib.parse import urlsplit

from starlette.requests import Request

from floor.doors.refusals import NotTaken
from shared.delivery import Refusal

PASSED_ON = ("Forwarded", "X-Forwarded-For", "X-Forwarded-Host", "X-Forwarded-Proto", "X-Real-IP", "Via")
"""Who speaks for somebody else says so in one of these."""


def is_loopback(host: str) -> bool:
    """Whether an address, or a name, is this machine and can be reached from no other."""
    try:
        return host == "localhost" or ip_address(host).is_loopback
    except ValueError:
        return False


def name_asked_for(request: Request) -> str:
    """The name, or the address, by which the floor was asked for; nothing where that makes no sense."""
    try:
        return (urlsplit(f"//{request.headers.get('Host', '')}").hostname or "").removesuffix(".")
    except ValueError:
        return ""


def is_from_here(request: Request) -> bool:
    """Whether this machine asks, for itself and by its own name: no page from elsewhere has a browser say that name."""
    if any(header in request.headers for header in PASSED_ON):
        return False
    client = request.client.host if request.client else ""
    return is_loopback(client) and is_loopback(name_asked_for(request))


def only_from_here(request: Request) -> None:
    """Raises NotTaken unless the request comes from this machine, for itself and by its own name."""
    if not is_from_here(request):
        raise NotTaken(403, Refusal(what="This is for the floor's own machine", do="Ask there"))
