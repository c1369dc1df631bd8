"""What ``rounds trial verdict`` prints, and the plan it is held to."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from rounds.problems import BadInput, Problem, RoundsError, nearest

if TYPE_CHECKING:
    from rounds.analysis.trial_counts import Brood
    from rounds.commands.options import Given


class Settled(NamedTuple):
    """What a plan settled before the trial."""

    endpoint: str
    ends: int
    arms: tuple[str, str]


def print_levels(path: Path, form: str) -> None:
    """The cost over several levels of F."""
    from rounds.analysis import trial_cost, trial_words
    from rounds.commands.kinship import print_records
    from rounds.commands.listing import read_lines

    rows, problems = trial_cost.levels(read_lines(path), str(path))
    if problems:
        raise BadInput(problems)
    if not any(r.survived for r in rows):
        raise RoundsError(f"{path}: nothing survived at any level, so there is no survival to lose.")
    cost = trial_cost.fit(rows)
    if form == "text":
        click.echo("\n".join(trial_words.cost_lines(rows, cost)))
    else:
        print_records(trial_words.cost_records(cost), trial_words.COLUMNS, form)


def settled(path: Path) -> Settled:
    """A plan as ``rounds trial plan --as json`` wrote it. Raises BadInput."""
    from rounds.commands.listing import read_lines

    def wrong(message: str, line: int = 0, column: int = 0) -> BadInput:
        return BadInput(
            [Problem(str(path), line, column, message, "Give the file of `trial plan --as json`.")]
        )

    try:
        read: Any = json.loads("".join(read_lines(path)))
    except json.JSONDecodeError as e:
        raise wrong(f"is not JSON: {e.msg}.", e.lineno, e.colno) from e
    except RecursionError as e:
        raise wrong("is nested too deeply.") from e
    if isinstance(read, list) and len(read) == 1:
        read = read[0]
    try:
        arms = read["arms"]
        found = Settled(
            str(read["endpoint"]), date.fromisoformat(read["ends"]).toordinal(), (arms[0], arms[1])
        )
    except (KeyError, TypeError, ValueError, IndexError) as e:
        raise wrong("is no plan: it needs endpoint, ends (YYYY-MM-DD) and two arms.") from e
    if not all(isinstance(a, str) for a in found.arms):
        raise wrong("is no plan: an arm's name is not a text.")
    return found


def print_verdict(
    given: Given, broods: list[Brood], planned: Path | None, reference: str, fs: tuple[tuple[str, str], ...],
    plot: Path | None, form: str,
) -> None:  # fmt: skip
    """Judge and print. With a plan, nothing is judged before its last day."""
    from rounds.analysis import trial_plot, trial_words
    from rounds.analysis.trial_counts import reference_of
    from rounds.analysis.trial_counts import units as sorted_out
    from rounds.analysis.trial_verdict import verdict
    from rounds.commands.kinship import print_records
    from rounds.commands.plotting import write_plot

    arms = list(dict.fromkeys(b.arm for b in broods))
    if len(arms) < 2:
        raise RoundsError(f"there is one arm, {arms[0]}: a trial compares two.")
    before = _hold(given, settled(planned), arms) if planned is not None else None
    asked = reference or (before.arms[1] if before is not None else "")
    compared = reference_of(broods, asked)
    if not compared:
        raise RoundsError(f"--reference: there is no arm `{asked}`. {nearest(asked, arms)}".rstrip())
    found = verdict(broods, compared, _f(fs, arms))
    if found is None:
        left = sorted_out(broods, compared)
        gone = "; ".join(f"{b.arm} {b.female}: {why}" for b, why in left.dropped)
        empty = ", ".join(name for name, some in left.arms.items() if not some)
        raise RoundsError(f"nothing is left to compare in {empty}. Dropped out: {gone}.")
    if plot is not None:
        write_plot(plot, trial_plot.drawn(found), "--plot")
    if form != "text":
        print_records(trial_words.verdict_records(found), trial_words.COLUMNS, form)
        return
    out = trial_words.verdict_lines(found)
    if before is None:
        out.append(
            "! no plan was given: whether endpoint and last day were fixed beforehand is not known (--plan)"
        )
    else:
        out.insert(1, f"endpoint as planned: {before.endpoint}")
    click.echo("\n".join([*out, "", *trial_plot.as_text(found)]))


def _hold(given: Given, plan: Settled, arms: list[str]) -> Settled:
    """The plan, if the trial is over and these are its arms."""
    from rounds.commands.options import day

    today = given.today if given.today is not None else day("today", "--today")
    if today < plan.ends:
        raise RoundsError(
            f"the plan ends on {date.fromordinal(plan.ends).isoformat()}: looking before then makes a false find "
            "likelier. Nothing is judged today."
        )
    for arm in arms:
        if arm.casefold() not in [a.casefold() for a in plan.arms]:
            raise RoundsError(f"the arm `{arm}` is not in the plan. {nearest(arm, plan.arms)}".rstrip())
    return plan


def _f(given: tuple[tuple[str, str], ...], arms: list[str]) -> dict[str, float]:
    out = {}
    problems = []
    for arm, text in given:
        name = next((a for a in arms if a.casefold() == arm.casefold()), None)
        try:
            value = float(text)
        except ValueError:
            value = -1.0
        if name is None:
            problems.append(Problem("--f", 0, 0, f"there is no arm `{arm}`.", nearest(arm, arms)))
        elif not 0 <= value <= 1:
            problems.append(Problem("--f", 0, 0, f"`{text}` cannot be the F of {arm}, expected 0 to 1."))
        else:
            out[name] = value
    if problems:
        raise BadInput(problems)
    return out
