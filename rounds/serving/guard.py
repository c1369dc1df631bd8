"""Who may reach a served walk: loopback alone, and pages of our own address alone. Pure.

The server asks nobody for a password; the front before it does. What is checked here is what
a front cannot know: that a request is meant for this address and a websocket was opened by
our own page. A browser that is signed in would otherwise let any page of the web drive the
walk (cross-site websocket hijacking), and a name of somebody's that is made to point at this
machine would reach it (DNS rebinding). Origin is RFC 6454, its place in a websocket's
handshake RFC 6455 section 10.2, Forwarded RFC 7239.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterable, Mapping, Sequence
from urllib.parse import urlsplit

from rounds.named_tuple import NamedTuple
from rounds.problems import RoundsError
from rounds.serving import serving_sentences

FORWARDED = ("forwarded", "x-forwarded-for", "x-forwarded-host", "x-forwarded-proto", "x-real-ip", "via")
"""Headers that only a front adds."""
PORTS = {"http": 80, "https": 443}


class Served(NamedTuple):
    """Where the walk is served: the loopback host and port, and the origin of the front ("" without one)."""

    host: str
    port: int
    address: str = ""

    @property
    def origins(self) -> frozenset[str]:
        """Origins whose pages are ours; with a front, only the front's."""
        if self.address:
            return frozenset((self.address,))
        return frozenset(f"http://{h}" for h in self.hosts)

    @property
    def hosts(self) -> frozenset[str]:
        """What a request may be addressed to, as a Host header has it."""
        own = {f"{name}:{self.port}" for name in ("127.0.0.1", "localhost", "[::1]")}
        if self.port == 80:
            own |= {"127.0.0.1", "localhost", "[::1]"}
        if not self.address:
            return frozenset(own)
        scheme, _, at = self.address.partition("://")
        return frozenset((*own, at, *((f"{at}:{PORTS[scheme]}",) if _port(at) is None else ())))


def loopback(host: str) -> str:
    """``host`` as the loopback address to listen at. RoundsError for any other, with the reason."""
    if host == "localhost":
        return "127.0.0.1"
    try:
        if ipaddress.ip_address(host.strip("[]")).is_loopback:
            return host.strip("[]")
    except ValueError:
        pass
    raise RoundsError(serving_sentences.not_loopback(host))


def address(text: str) -> str:
    """The origin of a public address: ``https://rack.example``, lower case, without its usual port.

    RoundsError when it is none, has more than an origin, or would carry a password in clear.
    """
    problem = ""
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError as e:
        raise RoundsError(serving_sentences.unreadable_address(text, str(e))) from e
    host = parts.hostname or ""
    if parts.scheme not in PORTS or not host:
        problem = serving_sentences.NO_PAGE
    elif parts.username is not None or parts.path not in ("", "/") or parts.query or parts.fragment:
        problem = serving_sentences.MORE_THAN_AN_ORIGIN
    elif parts.scheme == "http" and not _is_loopback_name(host):
        problem = serving_sentences.WITHOUT_TLS
    if problem:
        raise RoundsError(serving_sentences.bad_address(text, problem))
    at = f"[{host}]" if ":" in host else host
    return f"{parts.scheme}://{at}" + ("" if port in (None, PORTS[parts.scheme]) else f":{port}")


def refused(headers: Mapping[str, Sequence[str]], served: Served, *, websocket: bool) -> str:
    """Why a request is not answered ("" when it is).

    ``headers`` are all values of each header, by its name in lower case.
    """
    told = headers.get("host", ())
    if len(told) != 1 or told[0].lower() not in served.hosts:
        return serving_sentences.meant_for(_quoted(told), _quoted(sorted(served.hosts)))
    fronted = [name for name in FORWARDED if headers.get(name)]
    if fronted and not served.address:
        return serving_sentences.through_a_front(fronted[0])
    through = headers.get("x-forwarded-host", ())
    if any(h.lower() not in served.hosts for h in through):
        return serving_sentences.sent_to_a_front_as(_quoted(through), served.address)
    if websocket:
        origin = headers.get("origin", ())
        if len(origin) != 1 or origin[0].lower() not in served.origins:
            return serving_sentences.page_of_another(_quoted(origin), _quoted(sorted(served.origins)))
    return ""


def _quoted(values: Iterable[str]) -> str:
    return ", ".join(v[:100] for v in values) or serving_sentences.NOBODY


def _port(netloc: str) -> int | None:
    return urlsplit(f"//{netloc}").port


def _is_loopback_name(host: str) -> bool:
    try:
        return loopback(host) != ""
    except RoundsError:
        return False
