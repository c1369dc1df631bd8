"""The morning walk along the rack of a beetle breeder, and the books behind it."""

__version__ = "0.1.0"
