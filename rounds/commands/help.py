"""``rounds help``: topics that are longer than a command's own help, as pages to read."""

from __future__ import annotations

from pathlib import Path

import click

from rounds.problems import RoundsError, nearest

FOLDER = Path(__file__).parents[1] / "topics"
"""One Markdown file a topic; the first line is its title."""


def topics() -> dict[str, str]:
    """The title of every topic by its name, in alphabetical order."""
    return {p.stem: _title(p) for p in sorted(FOLDER.glob("*.md"))}


def _title(page: Path) -> str:
    with page.open(encoding="utf-8") as file:
        return file.readline().lstrip("# ").strip()


@click.command("help")
@click.argument("topic", required=False)
@click.pass_context
def help_(ctx: click.Context, topic: str | None) -> None:
    """Longer pages on one topic; without a topic, the list of them.

    \b
    rounds help
    rounds help changes    what is new in this version
    """
    known = topics()
    if topic is None:
        width = max(map(len, known))
        for name, title in known.items():
            click.echo(f"{name:<{width}}  {title}")
        click.echo("\nHelp on a command: rounds COMMAND --help", err=True)
        return
    if topic in known:
        click.echo((FOLDER / f"{topic}.md").read_text(encoding="utf-8").rstrip())
        return
    parent = ctx.parent
    command = (
        parent.command.get_command(parent, topic)
        if parent and isinstance(parent.command, click.Group)
        else None
    )
    if command is not None and parent is not None:
        with click.Context(command, info_name=topic, parent=parent) as inner:
            click.echo(command.get_help(inner))
        return
    raise RoundsError(
        f"there is no topic `{topic}`. {nearest(topic, known) or 'Topics: ' + ', '.join(known) + '.'}"
    )
