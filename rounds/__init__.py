"""The morning walk along the rack of a beetle breeder, and the books behind it."""

from rounds import sentences_on_demand

__version__ = "0.1.0"

sentences_on_demand.install()
