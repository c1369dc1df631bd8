"""What is said of the cost of inbreeding over several levels of F."""

from __future__ import annotations

CANNOT = "cannot tell whether inbreeding costs anything here: "

FELL = "survival fell as F rose"
ROSE = "survival rose with F: no cost of inbreeding was seen"
NO_RANGE = f"{CANNOT}there is no range of B to go by"
RANGE_HOLDS_0 = f"{CANNOT}the range of B holds 0"

NO_UPPER_LIMIT = "B has no upper limit: nothing survived above the lowest F"
NO_LOWER_LIMIT = (
    "B has no lower limit: nothing survived below the highest F, so this is no cost of inbreeding"
)
NO_INTERVAL = "no interval: survival is 100% at one end, where the likelihood has no top"

TOO_NARROW = "as if every egg were independent, so too narrow"
WIDENED = "t over rows, widened by phi"


def few_rows(enough: int) -> str:
    return (
        f"{CANNOT}so few rows do not show how much broods differ by themselves. "
        f"Give a row for each brood, {enough} or more"
    )


def level(f: float, alive: int, eggs: int, line_says: float | None = None) -> str:
    seen = f"  F {f:g}: {alive} of {eggs} survived ({alive / eggs:.1%})"
    return seen if line_says is None else f"{seen}, the line says {line_says:.1%}"


def fitted(rows: int, a: float, b: float, lethal_equivalents: float) -> str:
    return (
        f"-ln S = A + B·F by maximum likelihood over {rows} rows: A {a:.4f}, B {b:.4f} per gamete, "
        f"2B {lethal_equivalents:.4f} per animal"
    )


def interval(low: float, high: float, method: str) -> str:
    return f"B from {low:.3f} to {high:.3f} (95%, {method})"


def spread(phi: float) -> str:
    return f"phi {phi:.2f}: rows vary {'more' if phi > 1 else 'no more'} than independent eggs would"
