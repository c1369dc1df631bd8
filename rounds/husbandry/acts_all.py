"""Imports every module of acts, so that the registry is whole. A new module is named here."""

from rounds.husbandry import acts_animals as acts_animals
from rounds.husbandry import acts_arrivals as acts_arrivals
from rounds.husbandry import acts_boxes as acts_boxes
