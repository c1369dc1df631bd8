"""What the three readings of an F or a kinship take parents that are not recorded for."""

from __future__ import annotations

LOW = "low: parents not recorded are related to nobody"
USUAL = "usual reading: they are full sibs of the founders of their line"
AT_MOST = "at most: they may be any animal of that line, mature and alive then; of a founder from outside, full sibs"
OF_NOT_RECORDED = "parents not recorded: unrelated, or sibs of the founders; at most any of their line, mature and alive then"
OUTER_BOUNDS = "outer bounds: too many possible fathers to try every one"
