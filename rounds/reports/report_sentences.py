"""What reports of any kind say."""

from __future__ import annotations

NOTHING = "nothing"
"""Said of a table without rows that does not say what else to print."""
