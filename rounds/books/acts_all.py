"""Imports every module of acts, so that the registry is whole. A new module is named here."""

from rounds.books import acts_animals as acts_animals
from rounds.books import acts_arrivals as acts_arrivals
from rounds.books import acts_boxes as acts_boxes
from rounds.books import acts_brood as acts_brood
from rounds.books import acts_care as acts_care
from rounds.books import acts_clearing as acts_clearing
from rounds.books import acts_due as acts_due
from rounds.books import acts_growing as acts_growing
from rounds.books import acts_laying as acts_laying
from rounds.books import acts_leaving as acts_leaving
from rounds.books import acts_pairing as acts_pairing
from rounds.books import acts_plan as acts_plan
from rounds.books import acts_rack as acts_rack
from rounds.books import acts_search as acts_search
from rounds.books import acts_trial as acts_trial
from rounds.books import acts_weighing as acts_weighing
