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
    laying,
    leaving,
    pairing_acts,
    planning,
    rack_acts,
    search_acts,
    trial_acts,
    weighing,
)

MODULES = (
    arrivals,
    brood_acts,
    care,
    clearing,
    due_acts,
    enclosures,
    growing,
    identity,
    laying,
    leaving,
    pairing_acts,
    planning,
    rack_acts,
    search_acts,
    trial_acts,
    weighing,
)
