"""Every module of acts, imported so that the registry is whole. A new module is named here."""

from rounds.acts import (
    arrivals,
    brood_acts,
    care,
    clearing,
    due_acts,
    enclosures,
    growing,
    identity,
    label_acts,
    laying,
    leaving,
    pairing_acts,
    parent_acts,
    parting,
    planning,
    rack_acts,
    search_acts,
    stated_acts,
    trial_acts,
    tub_acts,
    weighing,
)
from rounds.acts.act import ACTS

MODULES = (
    arrivals,
    tub_acts,
    brood_acts,
    care,
    clearing,
    due_acts,
    enclosures,
    label_acts,
    growing,
    identity,
    parent_acts,
    pairing_acts,
    parting,
    laying,
    leaving,
    planning,
    rack_acts,
    search_acts,
    trial_acts,
    weighing,
    stated_acts,
)
"""In the order in which their acts are offered, whichever of them imports which."""

_PLACE = {module.__name__: n for n, module in enumerate(MODULES)}
for _act in sorted(ACTS.values(), key=lambda one: _PLACE.get(one.plan.__module__, len(MODULES))):
    ACTS[_act.id] = ACTS.pop(_act.id)
