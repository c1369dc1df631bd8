"""What is asked before animals or boxes are moved: quarantine, other species, locks, open actions, promises."""

from __future__ import annotations

from collections.abc import Iterable


def into_quarantine(box: str, until: str) -> str:
    end = f" through {until}" if until else ""
    return f"{box} is in quarantine{end}. Whoever goes in has to stay, and the days start again."


def out_of_quarantine(who: str, box: str, until: str) -> str:
    end = f" through {until}" if until else ""
    return f"{who} would leave quarantine: {box} is in quarantine{end}."


def out_of_the_house(box: str) -> str:
    return f"{box} is in quarantine. Tell whoever takes it, and give its substrate to nobody."


def quarantine_box_moved(box: str) -> str:
    return f"{box} is in quarantine. Move it last, with its own tools, and wash your hands after."


def beside_quarantine(box: str, place: str, other: str, other_place: str) -> str:
    return f"{box} ({place}) would stand beside {other} ({other_place}), which is in quarantine."


def quarantine_not_over(box: str, until: str) -> str:
    return f"{box} is in quarantine until {until}."


def other_species(who: str, species: str, box: str, there: str) -> str:
    return f"{who} is {species}; {box} holds {there}."


def open_actions(box: str, texts: tuple[str, ...], more: int) -> str:
    rest = f" (and {more} more)" if more else ""
    return f"Still to do at {box}: {' '.join(texts)}{rest}"


def locked(box: str, deed: str, until: str, reason: str) -> str:
    end = f" through {until}" if until else ""
    return f"{box}: do not {deed}{end} ({reason})."


def promised_to_plan(box: str, plan: str, female: str, male: str) -> str:
    return f"{box} is kept for {female} and {male} (plan {plan})."


def promised_to_trial(place: str, trial: str, female: str) -> str:
    return f"{place} is the place drawn for the brood of {female} in the trial {trial}."


def leaves_drawn_place(who: str, place: str, trial: str) -> str:
    return f"{who} would leave {place}, the place drawn for it in the trial {trial}. Compared by places, the trial loses it."


def two_plans(box: str, plans: Iterable[str]) -> str:
    return f"{box} is kept for another plan already: {', '.join(plans)}."
