"""What ``rounds due`` and ``rounds summary`` refuse."""

from __future__ import annotations

SAFE_OR_SEASON = "--safe and --season are two things to print; ask for one of them."
NO_PART_OF_IT = "--part is about the summary as text, CSV, Markdown or HTML; JSON holds all its parts, a sheet or a season has none."


def before_today(until: str) -> str:
    return f"--until: `{until}` is before today. Give a day from today on, or +7."


def no_season(season: str) -> str:
    return f"--season: `{season}` is no season. Write 2025, or 2025-03-01..2026-02-28."


def season_backwards(season: str) -> str:
    return f"--season: `{season}` ends before it begins. Write the earlier day first."
