"""What ``rounds help`` says."""

from __future__ import annotations

COMMAND_HELP = "\nHelp on a command: rounds COMMAND --help"


def no_such_topic(topic: str, meant: str, topics: tuple[str, ...]) -> str:
    """``meant`` is the hint with the nearest one, if any is near."""
    return f"there is no topic `{topic}`. {meant or 'Topics: ' + ', '.join(topics) + '.'}"


def no_json(command: str, meant: str) -> str:
    return f"no command `{command}` prints JSON. {meant or '`rounds help json` alone has all that do.'}"


def page_as_text(topic: str) -> str:
    return f"`rounds help {topic}` is a page to read: leave --as out."
