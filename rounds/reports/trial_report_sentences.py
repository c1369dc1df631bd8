"""What reports of a trial say, beside its findings (rounds.analysis.trial has the words of those)."""

from __future__ import annotations

from rounds.text.plurals import many
from rounds.text.reading_text import short

NO_TRIAL = "no trial was opened in this book: rounds trial plan NAME … --record"
KEPT_BACK = "Its last day has not come: arms and survivors are kept back (--early shows them)."
UNKNOWN_MALE = "unknown"


def positions(seed: int) -> str:
    return f"positions, drawn with the seed {seed}:"


def trial(name: str, species: str, endpoint: str, state: str, far: str) -> str:
    return f"{name}: {species}, {endpoint}, {state}; {far}"


def closed(day: str) -> str:
    return f"closed {day}"


def runs_until(day: str) -> str:
    return f"runs until {day}"


def how_far(females: int, paired: int, searched: int, out: int) -> str:
    return f"{females} females: {paired} paired, {searched} searched, {out} out"


def pair(female: str, male: str) -> str:
    return f"{female} × {male or UNKNOWN_MALE}"


def seat(pair: str, state: tuple[str, ...], note: str) -> str:
    return f"{pair}: {', '.join(state)}{f'; {note}' if note else ''}"


def arms_hidden(blinding: str) -> str:
    """``blinding`` is the sentence that says why."""
    return f"Arms are not shown while it runs (--arms). {blinding}"


def eggs_and_larvae(eggs: int, larvae: int) -> str:
    """What was counted at first sight, each by its own name."""
    if not larvae:
        return many(eggs, "egg")
    hatched = f"{larvae} {'larva' if larvae == 1 else 'larvae'}"
    return f"{many(eggs, 'egg')} and {hatched}" if eggs else hatched


def counted(pair: str, first_sight: str) -> str:
    """``first_sight`` as :func:`eggs_and_larvae` says it."""
    return f"{pair}: {first_sight}"


def survivors(arm: str, pair: str, alive: int, first_sight: str, f: float | None) -> str:
    return f"{arm}: {pair}: {alive} of {first_sight}{'' if f is None else f', F {short(f)}'}"


def left_out(why: str) -> str:
    return f"left out: {why}"


def note(text: str) -> str:
    return f"note: {text}"


def broods(all_of_them: int, left_out: int) -> str:
    return f"{all_of_them} broods, {left_out} of them left out"


# How a figure of a verdict was found.

NOT_YET = "not yet"
AS_IF_INDEPENDENT = "as if every egg were independent"
NO_INTERVAL = "no interval"
EXPECTED_INFORMATION = "expected information, eggs independent"
CHI_SQUARE = "Pearson chi-square over rows - 2"
MAXIMUM_LIKELIHOOD = "maximum likelihood, a rho of its own for each arm"
PROFILE_LIKELIHOOD = "profile likelihood, one rho for both arms"
F_FROM_NAMES = "taken from the names of the arms"
F_AS_GIVEN = "as given"


def standard_error(error: float) -> str:
    return f"standard error {error}"


def found_in(power: float, rho: float) -> str:
    """``power`` from 0 to 1."""
    return f"found in about {power:.0%} of such trials, two-sided 0.05, at rho {rho:.2f}"
