"""What the shell offers after ``rounds record``: acts, whom they concern, their fields, and values of these."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

from rounds.commands.completing import fitting, listed, named

if TYPE_CHECKING:
    from rounds.acts.act import Act
    from rounds.acts.fields import Field

_TABLES = ("enclosure", "animal", "pairing", "plan", "trial", "brood", "lot", "line", "batch")


def act_words(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    """Offers the words of ``rounds record`` in the order they are typed."""
    from rounds.acts.registry import all_acts

    typed: tuple[str, ...] = ctx.params.get("words") or ()
    acts = all_acts()
    if not typed:
        return fitting([*acts, "history", "undo"], incomplete)
    act = acts.get(typed[0])
    name, is_value, begun = incomplete.partition("=")
    if act is not None and is_value:
        field = next((f for f in act.fields if f.name == name), None)
        return [] if field is None else [f"{name}={v}" for v in _values(field, ctx, param, begun)]
    if act is not None and len(typed) > 1:
        return fitting(_untold(act, typed[2:]), incomplete)
    where = ("enclosure", "animal") if act is None else (act.on,)
    tables = [t for t in where if t in _TABLES]
    fields = _untold(act, typed[1:]) if act is not None and not tables else []
    return [*named(*tables)(ctx, param, incomplete), *fitting(fields, incomplete)]


def _untold(act: Act, typed: Iterable[str]) -> list[str]:
    """The fields that were not given yet, each with its ``=``."""
    told = {word.partition("=")[0] for word in typed}
    return [f"{field.name}=" for field in act.fields if field.name not in told]


def _values(field: Field, ctx: click.Context, param: click.Parameter, begun: str) -> list[str]:
    """What a field can be, as far as there is a list of it."""
    from rounds.husbandry.stages import STAGES

    if field.type == "ref":
        offer = named(field.of)
        return (listed(offer) if field.many else offer)(ctx, param, begun)
    fixed = {"stage": tuple(STAGES), "yesno": ("yes", "no")}
    return fitting(field.words or fixed.get(field.type, ()), begun)
