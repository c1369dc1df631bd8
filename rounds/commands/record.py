"""``rounds record``: everything durable that is not a reading, from one registry of acts."""

from __future__ import annotations

import re
import sys
from typing import TYPE_CHECKING, Any

import click

from rounds.commands.completing import act_words
from rounds.commands.output import AS, print_document
from rounds.problems import RoundsError

if TYPE_CHECKING:
    from rounds.acts.act import Recorded
    from rounds.commands.options import CliContext
    from rounds.records.entries import RecordActEntry
    from rounds.records.ledger import Ledger
    from rounds.store.book import Book

FIELD = re.compile(r"([A-Za-z][A-Za-z0-9_-]*)=(.*)", re.DOTALL)


@click.command()
@click.argument("words", nargs=-1, metavar="[ACT] [WHICH] [FIELD=VALUE …]", shell_complete=act_words)
@click.option("--fields", is_flag=True, help="List what the act must and may be told instead.")
@click.option("--on", metavar="WHEN", help="When it was: the same as on=WHEN.")
@click.option(
    "--keeper", metavar="NAME", default="", help="Who did it (the book's first keeper when left out)."
)
@click.option("--today", metavar="DATE", help="Take this for today's date (YYYY-MM-DD).")
@click.option("--sure", is_flag=True, help="Yes: a value that looks like a slip is meant.")
@click.option("--since", metavar="DATE", help="For `history`: from this day on.")
@click.option("--changes", is_flag=True, help="For `history`: what each act changed, too.")
@AS
@click.pass_obj
def record(given: CliContext, /, words: tuple[str, ...], form: str, **options: Any) -> None:
    """Record an act, take one back, or list them.

    Without words: every act. WHICH is an enclosure's code or number, LINE/NUMBER of an
    animal, or the name of what the act is done to. Put values with blanks into quotes.

    \b
    rounds record move-box T-03 to=B3-2
    rounds record look-again T-03 about=mites because='a few yesterday' in=+2
    rounds record move-box --fields
    rounds record undo 17
    rounds record history T-03 --since 2026-03-01
    """
    if not words:
        _list_acts(form)
    elif words[0] == "history":
        _history(given, " ".join(words[1:]), form, options["since"], options["changes"])
    elif words[0] == "undo":
        _undo(given, words[1:], form, options["keeper"], options["today"])
    elif options["fields"]:
        _list_fields(words[0], form)
    else:
        record_words(given, words, form, options)


def _list_acts(form: str) -> None:
    from rounds.commands.record_lines import acts_report

    print_document(acts_report(), form)


def _list_fields(name: str, form: str) -> None:
    from rounds.acts.registry import known
    from rounds.commands.record_lines import fields_report

    print_document(fields_report(known(name)), form)


def record_words(given: CliContext, words: tuple[str, ...], form: str, options: dict[str, Any]) -> None:
    """Record an act from words as they are typed: its name, whom, FIELD=VALUE; ``options`` on, keeper, today, sure."""
    from rounds.acts.act import BadAct, ConfirmationRequired
    from rounds.acts.registry import known
    from rounds.config import for_acts, in_force
    from rounds.records.entries import RecordActEntry
    from rounds.store import recording as store
    from rounds.store.book import open_book
    from rounds.store.ids import Ids, now_ms

    act = known(words[0])
    who, typed = read_words(words[1:], act.id, options["on"])
    with open_book(given.book) as book:
        _tell(book.notes)
        config = in_force(given.config, given.book)
        _tell([config.banner] if config.banner else [])
        e = RecordActEntry(
            Ids().new(),
            act.id,
            who,
            typed,
            _today(given, book, options["today"]),
            now_ms(),
            _keeper(book, options["keeper"]),
            sure=options["sure"],
        )
        new = act.caution and not _cautioned(book, act.caution)
        try:
            done = store.record(book, e, lambda: for_acts(config))
        except ConfirmationRequired as asked:
            done = store.record(book, _agreed(e, asked.field, asked.text), lambda: for_acts(config))
        except BadAct as bad:
            raise BadAct(f"record {bad.what}", bad.slips) from bad
        _show(book, done, form)
    if new:
        click.echo(act.caution, err=True)
    click.echo(f"Recorded. To take it back: rounds record undo {done.id}", err=True)


def read_words(words: tuple[str, ...], act: str, on: str | None) -> tuple[str, dict[str, str]]:
    """What is not FIELD=VALUE says which; every field given twice is a slip. Raises BadAct."""
    from rounds.acts.act import BadAct
    from rounds.acts.fields import FieldError

    which: list[str] = []
    typed: dict[str, str] = {} if on is None else {"on": on}
    slips = []
    for word in words:
        field = FIELD.fullmatch(word)
        if field is None:
            which.append(word)
        elif field[1] in typed:
            slips.append(
                FieldError(
                    field[1], "is given twice.", "Give it once; several values stand in one, with commas."
                )
            )
        else:
            typed[field[1]] = field[2]
    if slips:
        raise BadAct(f"record {act}", slips)
    return " ".join(which), typed


def _agreed(e: RecordActEntry, field: str, text: str) -> RecordActEntry:
    """The same, sure of it: after a yes on a terminal. Elsewhere nobody can be asked."""
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        raise RoundsError(
            f"record {e.act}  {field}: {text} Say yes with --sure, or mend it. Nothing was recorded."
        )
    from rounds.text.cleaning import clean

    if not click.confirm(clean(text, 400), err=True, default=False):
        raise RoundsError("Nothing was recorded.")
    return e._replace(sure=True)


def _undo(given: CliContext, words: tuple[str, ...], form: str, keeper: str, today: str | None) -> None:
    from rounds.records.entries import UndoActEntry
    from rounds.store import recording as store
    from rounds.store.book import open_book
    from rounds.store.ids import Ids, now_ms

    if len(words) > 1 or (words and not re.fullmatch("[0-9]{1,18}", words[0])):
        raise RoundsError(
            f"record undo: `{' '.join(words)}` is not the number of an act. `rounds record history` shows them."
        )
    with open_book(given.book) as book:
        _tell(book.notes)
        uid = _numbered(book, int(words[0])) if words else b""
        e = UndoActEntry(Ids().new(), uid, _today(given, book, today), now_ms(), _keeper(book, keeper))
        done = store.take_back(book, e)
        _show(book, done, form)
    click.echo(f"Act {done.undoes} is taken back. To have it again, record it again.", err=True)


def _numbered(book: Book, number: int) -> bytes:
    from rounds.store.read_acts import of_id

    found = of_id(book, number)
    if found is None:
        raise RoundsError(f"record undo: there is no act {number}. `rounds record history` shows them.")
    return found.uid


def _history(given: CliContext, which: str, form: str, since: str | None, changes: bool) -> None:
    from rounds.commands.options import day
    from rounds.commands.record_lines import history_report
    from rounds.store import read
    from rounds.store.book import open_book
    from rounds.store.ledger_store import load

    with open_book(given.book, readonly=True) as book:
        books = load(book)
        concerns = _which(books, which) if which else {}
        found = read.acts(book, since=day(since, "--since") if since else None, **concerns)
    print_document(history_report(found, books, changes=changes), form)


def _which(books: Ledger, which: str) -> dict[str, int]:
    """``{"enclosure": 3}`` or ``{"animal": 7}``: an enclosure's code or number goes first."""
    from rounds.acts.act import BadAct
    from rounds.acts.fields import FieldError, ref

    slips = []
    for table in ("enclosure", "animal"):
        try:
            return {table: ref(table, which, books)}
        except ValueError as wrong:
            slips.append(FieldError(table, str(wrong), getattr(wrong, "hint", "")))
    raise BadAct("record history", slips)


def _show(book: Book, done: Recorded, form: str) -> None:
    from rounds.commands.record_lines import recorded_report
    from rounds.store.ledger_store import load

    print_document(recorded_report(done, load(book)), form)


def _cautioned(book: Book, caution: str) -> bool:
    """Whether an act with this caution was recorded before, so that it has been shown."""
    from rounds.acts.registry import all_acts
    from rounds.store.read_acts import any_of

    return any_of(book, [a.id for a in all_acts().values() if a.caution == caution])


def _today(given: CliContext, book: Book, typed: str | None) -> int:
    from rounds.commands.options import day
    from rounds.husbandry.round_day import round_day
    from rounds.store import read
    from rounds.store.ids import now_ms

    house = read.house(book)
    asked = day(typed, "--today") if typed else given.today
    return asked or round_day(now_ms(), house.zone, house.day_starts)


def _keeper(book: Book, name: str) -> str:
    from rounds.store import read

    if not name.isprintable():
        raise RoundsError("--keeper: this is not a name. Give one line of plain text.")
    return name or next(iter(read.keepers(book)), "keeper")


def _tell(said: tuple[str, ...] | list[str]) -> None:
    from rounds.text.cleaning import clean_lines

    for sentence in said:
        click.echo(clean_lines(sentence), err=True)
