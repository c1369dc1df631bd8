"""Painting lines at once, through parts of Textual that it does not promise to keep.

Asked to refresh, the library hands a widget's wish from queue to queue until a clock of its own
grants it: as long again as the painting itself. A version of it without one of these parts costs
that time and nothing else: whoever asks refreshes instead.
"""

from __future__ import annotations

from textual.geometry import Region
from textual.widget import Widget

BATCHES = "_batch_count"
MARK = "_set_dirty"
COMPOSITOR = "_compositor"
UPDATE = "update_widgets"
PAINT = "_compositor_refresh"
"""Names of the private parts: how many batches the app waits for, marking lines of a widget as changed, the
screen's compositor, telling it which widgets those are, and having it paint them."""


def paint_now(widget: Widget, regions: list[Region]) -> bool:
    """Paint these lines of a widget within the call; False when that cannot be done now, or not at all."""
    if not widget.is_attached or not widget.screen.is_current:
        return False
    screen = widget.screen
    batches = getattr(widget.app, BATCHES, None)
    mark = getattr(widget, MARK, None)
    update = getattr(getattr(screen, COMPOSITOR, None), UPDATE, None)
    paint = getattr(screen, PAINT, None)
    if batches != 0 or mark is None or update is None or paint is None:
        return False
    mark(*regions)
    update({widget})
    paint()
    return True
