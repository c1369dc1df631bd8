"""What ``rounds help`` says."""

from __future__ import annotations

COMMAND_HELP = "\nHelp on a command: rounds COMMAND --help"


def topics(names: tuple[str, ...]) -> str:
    return f"Topics: {', '.join(names)}."


def no_such_topic(topic: str, hint: str) -> str:
    """``hint`` names the nearest, or all of them."""
    return f"there is no topic `{topic}`. {hint}"


ALL_THAT_PRINT = "`rounds help json` lists all that do."


def no_json(command: str, hint: str) -> str:
    """``hint`` names the nearest, or is the one above."""
    return f"no command `{command}` prints JSON. {hint}"


def page_as_text(topic: str) -> str:
    return f"`rounds help {topic}` is a page to read: leave --as out."
