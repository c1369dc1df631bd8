"""What is said of a served walk: why a request is refused, which address it needs, which walks run."""

from __future__ import annotations

WRITE_IT_AS = "Write it as https://rack.example."
NO_PAGE = f"is not the address of a page. {WRITE_IT_AS}"
MORE_THAN_AN_ORIGIN = f"has more than a host and a port. {WRITE_IT_AS}"
WITHOUT_TLS = "must begin with https: without it the password and the book travel readable for all."
NOBODY = "nobody"
NO_FILE = "there is no such file"
NOBODY_WALKS_HERE = "nobody walks here"
TOO_DEEP = "a message nested too deep"
NO_REQUEST = "what came is no request of HTTP"
UNKNOWN_MESSAGE = "a message that this page does not send"


def not_loopback(host: str) -> str:
    return (
        f"--host {host}: the walk is served at this machine's own address alone (127.0.0.1 or ::1). Whoever reaches "
        "it can read and change the book, and it asks nobody for a password: let a front on this machine do "
        "that, which ends TLS, asks for a password and passes on to 127.0.0.1 (see --address)."
    )


def unreadable_address(address: str, error: str) -> str:
    return f"--address {address}: {error}. {WRITE_IT_AS}"


def bad_address(address: str, problem: str) -> str:
    return f"--address {address}: {problem}"


def port_taken(port: int, host: str, error: str) -> str:
    return (
        f"port {port} of {host} is not free ({error}). Is another `rounds serve` running? "
        "--port chooses another port."
    )


# Requests


def refused(why: str) -> str:
    return f"refused: {why}"


def meant_for(told: str, hosts: str) -> str:
    return f"it was meant for {told}, and this is {hosts}"


def through_a_front(header: str) -> str:
    return f"it came through a front ({header}), and no --address says which one that may be"


def sent_to_a_front_as(told: str, address: str) -> str:
    return f"it was sent to a front as {told}, and the address is {address}"


def page_of_another(origin: str, origins: str) -> str:
    return f"the page that opened it is of {origin}, not of {origins}"


def walks_open(number: int) -> str:
    return f"{number} walks are open already"


# Walks


def began(open_: int, most: int) -> str:
    return f"a walk began ({open_} of {most} open)"


def ended(open_: int, most: int) -> str:
    return f"a walk ended ({open_} of {most} open)"


def exit_code(code: int | None) -> str:
    return f"the walk ended with exit code {code}"
