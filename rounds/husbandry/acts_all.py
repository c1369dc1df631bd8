"""Imports every module of acts, so that the registry is whole. A new module is named here."""

from rounds.husbandry import acts_animals as acts_animals
from rounds.husbandry import acts_arrivals as acts_arrivals
from rounds.husbandry import acts_boxes as acts_boxes
from rounds.husbandry import acts_brood as acts_brood
from rounds.husbandry import acts_care as acts_care
from rounds.husbandry import acts_clearing as acts_clearing
from rounds.husbandry import acts_due as acts_due
from rounds.husbandry import acts_growing as acts_growing
from rounds.husbandry import acts_laying as acts_laying
from rounds.husbandry import acts_leaving as acts_leaving
from rounds.husbandry import acts_pairing as acts_pairing
from rounds.husbandry import acts_rack as acts_rack
from rounds.husbandry import acts_search as acts_search
from rounds.husbandry import acts_weighing as acts_weighing
