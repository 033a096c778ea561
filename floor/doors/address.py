"""The address at which the pages are served, as the shop file writes it.

Never opens a port.
"""


class NotOpened(ValueError):
    """The pages cannot be served: why, and what to do, in one line."""


def address(listen: str) -> tuple[str, int]:
    """Host and port of "127.0.0.1:8765", "[::1]:8765", ":8765" (every address of the machine). Raises NotOpened."""
    host, colon, port = listen.rpartition(":")
    if not colon or not port.isdecimal() or int(port) > 65_535:
        raise NotOpened(f'pages.listen is "{listen}". Write: listen = "127.0.0.1:8765"')
    return host.strip("[]") or "0.0.0.0", int(port)
