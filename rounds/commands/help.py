"""``rounds help``: topics that are longer than a command's own help, and what commands print and end with."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path

import click

from rounds.commands import help_command_sentences
from rounds.commands.completing import fitting
from rounds.commands.output import FormOption, print_document, prints
from rounds.commands.paging import show
from rounds.problems import RoundsError, nearest

FOLDER = Path(__file__).parents[1] / "topics"
"""One Markdown file a topic; the first line is its title."""

GENERATED = {
    "exit-codes": "What commands end with",
    "json": "The JSON Schema of what commands print with --as json",
    "promises": "What is promised, what holds it, and the last figures measured",
    "reports": "What commands print with --as json: every field and what it means",
}
"""Topics made from the program itself."""


def topics() -> dict[str, str]:
    """The title of every topic by its name, in alphabetical order."""
    return dict(sorted({**GENERATED, **{p.stem: _title(p) for p in FOLDER.glob("*.md")}}.items()))


def _title(page: Path) -> str:
    with page.open(encoding="utf-8") as file:
        return file.readline().lstrip("# ").strip()


def _topic_words(ctx: click.Context, _param: click.Parameter, incomplete: str) -> list[str]:
    """Offers topics and commands; after a topic of what commands print, those that print."""
    root = ctx.find_root()
    typed: tuple[str, ...] = ctx.params.get("words") or ()
    if not typed:
        commands = root.command.list_commands(root) if isinstance(root.command, click.Group) else []
        return fitting([*topics(), *commands], incomplete)
    if typed[0] not in ("json", "reports"):
        return []
    return fitting({name.partition(" ")[0] for name, _ in printing(root.command, root)}, incomplete)


@click.command("help")
@click.argument("words", nargs=-1, metavar="[TOPIC] [COMMAND]", shell_complete=_topic_words)
@prints("exit-codes", "promises", "report-fields")
@click.pass_context
def help_(ctx: click.Context, words: tuple[str, ...], form: str) -> None:
    """Longer pages on one topic; alone, the list of topics.

    \b
    rounds help
    rounds help changes              what is new in this version
    rounds help exit-codes           what commands end with
    rounds help promises             what is promised, and the test that holds it
    rounds help reports trial plan   each field that a command prints as JSON
    rounds help json > rounds.json   the JSON Schema of all of them
    """
    topic, command = (words[0], words[1:]) if words else ("", ())
    if topic == "reports":
        from rounds.reports.catalogue import fields_report

        print_document(fields_report(_printing(ctx, command)), form)
    elif topic == "exit-codes":
        from rounds.reports.exit_codes import exit_codes

        print_document(exit_codes(), form)
    elif topic == "promises":
        from rounds.reports.promises import promises

        print_document(promises(), form)
    elif form != "text":
        raise RoundsError(help_command_sentences.page_as_text(topic))
    elif topic == "json":
        from rounds.reports.catalogue import schema_of
        from rounds.text.cleaning import json_text

        show(f"{json_text(schema_of(_printing(ctx, command)))}\n")
    elif topic:
        _print_page(ctx, topic)
    else:
        _print_topics()


def _print_topics() -> None:
    known = topics()
    width = max(map(len, known))
    show("".join(f"{name:<{width}}  {title}\n" for name, title in known.items()))
    click.echo(help_command_sentences.COMMAND_HELP, err=True)


def _print_page(ctx: click.Context, topic: str) -> None:
    """A page of the package, or a command's own help. Raises RoundsError for neither."""
    root = ctx.find_root()
    page = {p.stem: p for p in FOLDER.glob("*.md")}.get(topic)
    if page is not None:
        text = page.read_text(encoding="utf-8").rstrip()
        show(f"{as_read(text) if sys.stdout.isatty() else text}\n")
        return
    command = root.command.get_command(root, topic) if isinstance(root.command, click.Group) else None
    if command is None:
        known = topics()
        hint = nearest(topic, known) or help_command_sentences.topics(tuple(known))
        raise RoundsError(help_command_sentences.no_such_topic(topic, hint))
    with click.Context(command, info_name=topic, parent=root) as inner:
        show(f"{command.get_help(inner)}\n")


def as_read(page: str) -> str:
    """A page of Markdown as a person reads it on a terminal: code set in, headings and code without their signs."""
    out, code = [], False
    for line in page.splitlines():
        if line.startswith("```"):
            code = not code
        elif code:
            out.append(f"    {line}".rstrip())
        else:
            out.append(re.sub(r"^#+ ", "", line))
    return "\n".join(out)


def _printing(ctx: click.Context, words: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    """The kinds of reports by the command that prints them: all, or those that begin with ``words``."""
    root = ctx.find_root()
    known = dict(printing(root.command, root))
    wanted = " ".join(words)
    found = {name: kinds for name, kinds in known.items() if not words or f"{name} ".startswith(f"{wanted} ")}
    if not found:
        hint = nearest(wanted, known) or help_command_sentences.ALL_THAT_PRINT
        raise RoundsError(help_command_sentences.no_json(wanted, hint))
    return found


def printing(
    command: click.Command, ctx: click.Context, name: str = ""
) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Every command that prints reports, in the order of the help page: how it is typed, and their kinds."""
    for option in command.params:
        if isinstance(option, FormOption):
            yield name, option.kinds
    if isinstance(command, click.Group):
        for part in command.list_commands(ctx):
            inner = command.get_command(ctx, part)
            if inner is not None:
                yield from printing(inner, ctx, f"{name} {part}".strip())
