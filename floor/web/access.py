"""Who may look at what is not for everybody.

Never decides about benches: floor.web.intake does.
"""

from ipaddress import ip_address

from starlette.requests import Request

from floor.web.refusals import NotTaken
from shared.delivery import Refusal


def is_loopback(host: str) -> bool:
    """Whether an address, or a name, is this machine and can be reached from no other."""
    try:
        return host == "localhost" or ip_address(host).is_loopback
    except ValueError:
        return False


def only_from_here(request: Request) -> None:
    """Raises NotTaken unless the request comes from this machine."""
    if request.client is None or not is_loopback(request.client.host):
        raise NotTaken(403, Refusal(what="This is for the floor's own machine", do="Ask there"))
