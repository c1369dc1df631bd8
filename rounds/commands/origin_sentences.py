"""What ``rounds batch`` and ``rounds lot`` refuse; ``hint`` names the nearest, or one of the two below."""

from __future__ import annotations

MOST_NAMED = 12

NONE_RECORDED = "None is recorded yet."


def there_are(names: tuple[str, ...]) -> str:
    return f"There are: {', '.join(names[:MOST_NAMED])}."


def no_batch(name: str, hint: str) -> str:
    return f"there is no batch `{name}`. {hint}"


def no_arrival(name: str, hint: str) -> str:
    return f"there is no arrival `{name}`. {hint}"
