"""The command line: which command lives where. Each is imported when it is called."""

from __future__ import annotations

import importlib
import os
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import click

from rounds import __version__
from rounds.commands import command_line_sentences
from rounds.commands.options import CliContext
from rounds.named_tuple import NamedTuple
from rounds.problems import EXTRAS, RoundsError, lacking, nearest
from rounds.program_exit import ended
from rounds.text.terminal_signs import only_ascii, write_only_ascii

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem


class ListedCommand(NamedTuple):
    """Where a command lives, ``module:object`` in rounds.commands, and the first sentence of its help.

    The sentence stands here as well, so that a list of commands imports none of them.
    """

    at: str
    about: str

    def line(self, limit: int) -> str:
        """The sentence, cut at ``limit`` letters as click cuts it."""
        return click.Command("", help=self.about).get_short_help_str(limit)


GROUPS: dict[str, dict[str, ListedCommand]] = {
    "Every day": {
        "walk": ListedCommand("walk_commands:walk", "Today's round, resumed where it stopped."),
        "serve": ListedCommand("serve:serve", "The walk in a browser, for a tablet on the shelf."),
        "summary": ListedCommand("summary:summary", "What needs action, what to carry, what was not seen."),
        "due": ListedCommand("due:due", "What is due: overdue, today, this week, later."),
        "demo": ListedCommand("walk_commands:demo", "Try a round on an invented house."),
    },
    "The book": {
        "record": ListedCommand("record:record", "Record an act, take one back, or list them."),
        "new": ListedCommand("book_commands:new", "Make an empty book."),
        "load": ListedCommand("book_commands:load", "Put CSV tables into the book: all, or none."),
        "write": ListedCommand("writing:write", "Write the whole book as CSV tables, to keep or load again."),
        "backup": ListedCommand("backup:backup", "Make a verified copy of the book now."),
        "restore": ListedCommand(
            "backup:restore", "List the backups, or put one back in the place of the book."
        ),
        "checkup": ListedCommand(
            "checkup:checkup", "Look the book over: damage, backups, disk, clock, config."
        ),
        "batch": ListedCommand("batch_and_lot:batch", "All boxes that got substrate of a batch."),
        "lot": ListedCommand("batch_and_lot:lot", "All that comes from an arrival, as far as is known."),
        "labels": ListedCommand("labels:labels", "Labels for boxes as a PDF, with code and who is in it."),
        "draw": ListedCommand("draw:draw", "Pictures of the books, in letters here and as .svg or .png."),
    },
    "Breeding": {
        "kinship": ListedCommand("kinship:kinship", "F of every animal; parents not known give a range."),
        "pairings": ListedCommand("pairings:pairings", "The best pairs to make now, each with its reasons."),
        "trial": ListedCommand("trial:trial", "A sib trial: does inbreeding cost anything here, honestly."),
    },
    "Rules, keys and help": {
        "rules": ListedCommand("rules:rules", "The rules: what is watched, and what it raises."),
        "keys": ListedCommand("keys_and_where:keys", "The keys of the walk, as your config gives them."),
        "where": ListedCommand(
            "keys_and_where:where", "Where the book, your config and the shipped files are."
        ),
        "completion": ListedCommand(
            "completing:completion", "Print what makes your shell complete what you type."
        ),
        "help": ListedCommand("help:help_", "Longer pages on one topic; alone, the list of topics."),
    },
}
"""Commands by heading of the help page."""

_LISTED = {name: command for group in GROUPS.values() for name, command in group.items()}


class Commands(click.Group):
    """Finds a command's module only when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        return list(_LISTED)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:  # noqa: ARG002
        if name not in _LISTED:
            return None
        module, _, attribute = _LISTED[name].at.partition(":")
        found: click.Command = getattr(importlib.import_module(f"rounds.commands.{module}"), attribute)
        return found

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in _LISTED and not args[0].startswith("-"):
            raise click.UsageError(command_line_sentences.no_command(args[0], nearest(args[0], _LISTED)))
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        for heading, listed in GROUPS.items():
            with formatter.section(heading):
                formatter.write_dl([(name, command.line(60)) for name, command in listed.items()])

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        """The commands begun so, and the program's own options."""
        from click.shell_completion import CompletionItem

        begun = [
            CompletionItem(name, help=command.line(45))
            for name, command in _LISTED.items()
            if name.startswith(incomplete)
        ]
        return begun + click.Command.shell_complete(self, ctx, incomplete)


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
