"""Who is answered: loopback alone, our own address alone, our own page alone."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.problems import RoundsError
from rounds.serving.guard import Served, address, loopback, refused

ALONE = Served("127.0.0.1", 8035)
FRONTED = Served("127.0.0.1", 8035, "https://rack.example")


def headers(**given: str | list[str]) -> dict[str, list[str]]:
    return {k.replace("_", "-"): [v] if isinstance(v, str) else v for k, v in given.items()}


@pytest.mark.parametrize(
    ("host", "at"),
    [
        ("127.0.0.1", "127.0.0.1"),
        ("localhost", "127.0.0.1"),
        ("::1", "::1"),
        ("[::1]", "::1"),
        ("127.0.0.2", "127.0.0.2"),
    ],
)
def test_loopback_is_listened_at(host: str, at: str) -> None:
    assert loopback(host) == at


@pytest.mark.parametrize(
    "host",
    [
        "0.0.0.0",
        "::",
        "192.168.1.20",
        "10.0.0.1",
        "rack.example",
        "",
        "localhost.rack.example",
        "*",
        "fe80::1",
        "::ffff:10.0.0.1",
    ],
)
def test_any_other_address_is_refused_with_the_reason(host: str) -> None:
    with pytest.raises(RoundsError, match=r"read and change the book.*front on this machine"):
        loopback(host)


@pytest.mark.parametrize(
    ("text", "origin"),
    [
        ("https://rack.example", "https://rack.example"),
        ("https://Rack.Example/", "https://rack.example"),
        ("https://rack.example:443", "https://rack.example"),
        ("https://rack.example:8443/", "https://rack.example:8443"),
        ("https://[2001:db8::1]", "https://[2001:db8::1]"),
        ("http://127.0.0.1:80", "http://127.0.0.1"),
        ("http://localhost:9000", "http://localhost:9000"),
    ],
)
def test_a_front_is_known_by_its_origin(text: str, origin: str) -> None:
    assert address(text) == origin


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("rack.example", "is not the address of a page"),
        ("ftp://rack.example", "is not the address"),
        ("https://", "is not the address"),
        ("https://rack.example/walk", "more than a host"),
        ("https://a:b@rack.example", "more than a host"),
        ("https://rack.example?x=1", "more than a host"),
        ("http://rack.example", "must begin with https"),
        ("https://rack.example:port", "Write it as"),
        ("https://[::1", "Write it as"),
    ],
)
def test_an_address_that_is_none_is_refused(text: str, said: str) -> None:
    with pytest.raises(RoundsError, match=said):
        address(text)


@pytest.mark.parametrize("host", ["127.0.0.1:8035", "localhost:8035", "LOCALHOST:8035", "[::1]:8035"])
def test_our_own_page_opens_a_websocket(host: str) -> None:
    assert refused(headers(host=host, origin=f"http://{host}"), ALONE, websocket=True) == ""
    assert refused(headers(host=host), ALONE, websocket=False) == ""


@pytest.mark.parametrize("host", ["rack.example", "127.0.0.1:8035", "rack.example:443"])
def test_the_fronts_page_opens_a_websocket(host: str) -> None:
    told = headers(
        host=host, origin="https://rack.example", x_forwarded_host="rack.example", x_forwarded_for="10.0.0.9"
    )
    assert refused(told, FRONTED, websocket=True) == ""


@pytest.mark.parametrize(
    "origin",
    [
        "https://elsewhere.example",
        "null",
        "",
        "https://rack.example.elsewhere.example",
        "http://rack.example",
        "https://rack.example:8443",
        "http://127.0.0.1:8035",
        "https://rack.example, https://elsewhere.example",
        ["https://rack.example", "https://elsewhere.example"],
        [],
    ],
)
def test_another_page_in_the_same_browser_opens_none(origin: str | list[str]) -> None:
    assert "the page that opened it" in refused(
        headers(host="rack.example", origin=origin), FRONTED, websocket=True
    )


@pytest.mark.parametrize("origin", ["http://127.0.0.1:8036", "http://127.0.0.1", "https://127.0.0.1:8035"])
def test_a_page_of_another_port_opens_none(origin: str) -> None:
    assert "the page that opened it" in refused(
        headers(host="127.0.0.1:8035", origin=origin), ALONE, websocket=True
    )


@pytest.mark.parametrize(
    "host",
    ["rack.example", "127.0.0.1:8036", "127.0.0.1", "elsewhere.example:8035", [], ["127.0.0.1:8035"] * 2],
)
def test_a_name_that_was_made_to_point_here_is_not_answered(host: str | list[str]) -> None:
    assert "it was meant for" in refused(headers(host=host), ALONE, websocket=False)


@pytest.mark.parametrize(
    "name", ["forwarded", "x_forwarded_for", "x_forwarded_host", "x_forwarded_proto", "x_real_ip", "via"]
)
def test_a_front_that_nobody_named_is_not_answered(name: str) -> None:
    told = headers(host="127.0.0.1:8035", **{name: "127.0.0.1:8035"})
    assert "it came through a front" in refused(told, ALONE, websocket=False)


def test_a_front_that_was_asked_for_something_else_is_not_answered() -> None:
    told = headers(host="127.0.0.1:8035", x_forwarded_host="elsewhere.example")
    assert "it was sent to a front as elsewhere.example" in refused(told, FRONTED, websocket=False)


@given(st.text(max_size=60), st.text(max_size=60))
def test_no_header_is_an_error(host: str, origin: str) -> None:
    said = refused(headers(host=host, origin=origin, x_forwarded_host=host), FRONTED, websocket=True)
    assert (said == "") == (host.lower() in FRONTED.hosts and origin.lower() == "https://rack.example")
