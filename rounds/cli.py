"""The command line: which command lives where. Each is imported when it is called."""

from __future__ import annotations

import importlib
import os
from collections.abc import Sequence
from typing import Any

import click

from rounds import __version__
from rounds.commands import command_line_sentences
from rounds.commands.options import CliContext
from rounds.problems import EXTRAS, RoundsError, lacking, nearest
from rounds.program_exit import ended
from rounds.text.terminal_signs import only_ascii, write_only_ascii

GROUPS: dict[str, dict[str, str]] = {
    "Every day": {
        "walk": "walk_commands:walk",
        "serve": "serve:serve",
        "summary": "summary:summary",
        "due": "due:due",
        "demo": "walk_commands:demo",
    },
    "The book": {
        "record": "record:record",
        "new": "book_commands:new",
        "load": "book_commands:load",
        "write": "writing:write",
        "backup": "backup:backup",
        "restore": "backup:restore",
        "checkup": "checkup:checkup",
        "batch": "batch_and_lot:batch",
        "lot": "batch_and_lot:lot",
        "labels": "labels:labels",
        "draw": "draw:draw",
    },
    "Breeding": {"kinship": "kinship:kinship", "pairings": "pairings:pairings", "trial": "trial:trial"},
    "Rules, keys and help": {
        "rules": "rules:rules",
        "keys": "keys_and_where:keys",
        "where": "keys_and_where:where",
        "completion": "completing:completion",
        "help": "help:help_",
    },
}
"""Command by heading of the help page: ``module:object`` in rounds.commands."""

_AT = {name: at for group in GROUPS.values() for name, at in group.items()}


class Commands(click.Group):
    """Finds a command's module only when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        return list(_AT)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:  # noqa: ARG002
        if name not in _AT:
            return None
        module, _, attribute = _AT[name].partition(":")
        found: click.Command = getattr(importlib.import_module(f"rounds.commands.{module}"), attribute)
        return found

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in _AT and not args[0].startswith("-"):
            raise click.UsageError(command_line_sentences.no_command(args[0], nearest(args[0], _AT)))
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        for heading, names in GROUPS.items():
            rows = []
            for name in names:
                command = self.get_command(ctx, name)
                rows.append((name, command.get_short_help_str(60) if command else ""))
            with formatter.section(heading):
                formatter.write_dl(rows)


@click.group(
    cls=Commands, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]}
)
@click.option("--book", metavar="PATH", help="The book to use (or set ROUNDS_BOOK).")
@click.option("--config", metavar="DIR", help="Your own config folder (or set ROUNDS_CONFIG).")
@click.option(
    "--today",
    metavar="DATE",
    help="Work as if this were today (2026-03-01, yesterday): what you record gets that day.",
)
@click.option(
    "--plain", is_flag=True, help="Walk in lines of text instead of a screen: for screen readers, bad links."
)
@click.option(
    "--no-pager", is_flag=True, help="Print long lists at once, not a page at a time (or set PAGER=cat)."
)
@click.option("--debug", is_flag=True, expose_value=False, help="Show where an unexpected error came from.")
@click.version_option(__version__, prog_name="rounds")
@click.pass_context
def cli(
    ctx: click.Context,
    *,
    book: str | None,
    config: str | None,
    today: str | None,
    plain: bool,
    no_pager: bool,
) -> None:
    """The morning walk along the rack, and the books behind it.

    Without a command: today's round in your book.

    \b
    rounds demo            try it on an invented house, nothing of yours touched
    rounds new my.sqlite   an empty book of your own
    """
    ctx.obj = CliContext(book, config, today, plain=plain, pager=not no_pager)
    if ctx.invoked_subcommand is None:
        from rounds.commands.walk_commands import walk

        ctx.invoke(walk)


def _misplaced(e: click.NoSuchOption, argv: Sequence[str]) -> str:
    """Where an option of the whole program belongs that was typed after a command ("" for any other)."""
    import shlex

    option = next((p for p in cli.params if e.option_name in p.opts and isinstance(p, click.Option)), None)
    command = e.ctx.command_path.partition(" ")[2] if e.ctx else ""
    if option is None or not command:
        return ""
    at = next((i for i, a in enumerate(argv) if a.partition("=")[0] == e.option_name), -1)
    value = [] if option.is_flag or "=" in argv[at] else [*argv[at + 1 : at + 2]] or [option.metavar or ""]
    typed = shlex.join([argv[at], *value])
    return command_line_sentences.before_the_command(e.option_name, typed, command)


def run(argv: Sequence[str]) -> int:
    """Run and return the exit code (rounds.program_exit says which)."""

    if os.environ.get("_ROUNDS_COMPLETE", "").startswith("bash"):
        from rounds.commands import bash_completion

        bash_completion.register()

    if only_ascii():
        write_only_ascii()

    def call() -> int:
        try:
            result: Any = cli.main(list(argv), prog_name="rounds", standalone_mode=False)
        except (RoundsError, ModuleNotFoundError) as e:
            # The pure modules know which library they miss, not how it is had.
            missed = e if isinstance(e, ModuleNotFoundError) else e.__cause__
            library = (missed.name or "").partition(".")[0] if isinstance(missed, ModuleNotFoundError) else ""
            if EXTRAS.get(library) != "analysis":
                raise
            raise RoundsError(lacking(command_line_sentences.THIS_NEEDS, "analysis")) from e
        except click.ClickException as e:
            told = _misplaced(e, argv) if isinstance(e, click.NoSuchOption) else ""
            raise RoundsError(told or command_line_sentences.misused(e.format_message())) from e
        except click.Abort as e:
            raise KeyboardInterrupt from e
        return result if isinstance(result, int) else 0

    return ended(call, debug="--debug" in argv)
