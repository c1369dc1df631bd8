"""What ``rounds serve`` says when it begins."""

from __future__ import annotations

CAUTION = """\
Reached from this machine alone. Whoever reaches it can read and change the book, and it asks nobody
for a password: a front on this machine (a reverse proxy) must do that, end TLS, and pass on to it.
Never forward a port to it, never open a tunnel to it without a password, and keep the tablet locked
when it is laid down. `rounds serve --help` says more; ctrl+c saves every walk and ends."""
NO_ADDRESS = "No --address: only a browser here can use it."
SERVING_NEEDS = "serving the walk needs"


def front(address: str) -> str:
    return f"The front's address is {address}."
