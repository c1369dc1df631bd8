"""``rounds record``: everything durable that is not a reading, from one registry of acts."""

from __future__ import annotations

import re
import sys
from typing import TYPE_CHECKING, Any

import click

from rounds.commands import record_sentences
from rounds.commands.act_completion import act_words
from rounds.commands.book_reader import config_in_force, reading, writing
from rounds.commands.completing import keepers
from rounds.commands.output import print_document, prints, tell
from rounds.problems import RoundsError
from rounds.text.cleaning import clean

if TYPE_CHECKING:
    from rounds.acts.act import Act, Recorded
    from rounds.commands.book_reader import BookReader
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
    "--keeper",
    metavar="NAME",
    default="",
    shell_complete=keepers,
    help="Who did it (the book's first keeper when left out).",
)
@click.option(
    "--today",
    metavar="DATE",
    help="Work as if this were today (2026-03-01, yesterday): what you record gets that day.",
)
@click.option("--sure", is_flag=True, help="Yes: a value that looks like a slip is meant.")
@click.option("--since", metavar="DATE", help="For `history`: from this day on.")
@click.option("--changes", is_flag=True, help="For `history`: what each act changed, too.")
@prints("recorded", "acts", "act-fields", "history")
@click.pass_obj
def record(given: CliContext, /, *, words: tuple[str, ...], form: str, **options: Any) -> None:
    """Record an act, take one back, or list them.

    Without words: every act. WHICH is a box's code or number, LINE/NUMBER of an
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
        _history(given, " ".join(words[1:]), form, options["since"], changes=options["changes"])
    elif words[0] == "undo":
        _undo(given, words[1:], form, options["keeper"], options["today"])
    elif options["fields"]:
        _list_fields(words[0], form)
    else:
        record_words(given, words, form, options)


def _list_acts(form: str) -> None:
    from rounds.reports.act_reports import acts_report

    print_document(acts_report(), form)


def _list_fields(name: str, form: str) -> None:
    from rounds.acts.registry import known
    from rounds.reports.act_reports import fields_report

    print_document(fields_report(known(name)), form)


def record_words(given: CliContext, words: tuple[str, ...], form: str, options: dict[str, Any]) -> None:
    """Record an act from words as they are typed: its name, whom, FIELD=VALUE; ``options`` on, keeper, today, sure."""
    from rounds.acts import arrival_law
    from rounds.acts.act import BadAct, ConfirmationRequired
    from rounds.acts.registry import known
    from rounds.config import for_acts
    from rounds.records.entries import RecordActEntry
    from rounds.store import recording as store
    from rounds.store.apply_entries import apply
    from rounds.store.ids import Ids, now_ms
    from rounds.walk.outlived_actions import outlived

    act = known(words[0]) if len(words) == 1 else _act_of(words)
    who, typed = read_words(words[1:], act.id, options["on"])
    day = _day(options["today"])
    with writing(given, day) as at:
        book = at.book
        if (day or given.today) is None and not options["sure"]:
            _check_clock(at)
        config = config_in_force(given)
        keeper = _keeper(at, options["keeper"])
        e = RecordActEntry(Ids().new(), act.id, who, typed, at.today, now_ms(), keeper, sure=options["sure"])
        new = act.caution and not _cautioned(book, act.caution)
        try:
            done = store.record(book, e, lambda: for_acts(config))
        except ConfirmationRequired as asked:
            done = store.record(book, _agreed(e, asked.field, asked.text), lambda: for_acts(config))
        except BadAct as bad:
            raise BadAct(f"record {bad.what}", bad.slips) from bad
        if closed := outlived(book, config, done, at.today):
            with book.writing():
                apply(book, closed)
        ledger = _show(book, done, form)
        law = arrival_law.at_arrival(act.id, ledger, who, typed, lambda: config.species)
    if new:
        tell(act.caution)
    if law:
        tell(law)
    tell(record_sentences.recorded(done.id))


def _check_clock(at: BookReader) -> None:
    """Raises RoundsError where today, by the clock, lies before the last round: the act would get a wrong day."""
    from rounds.store import read
    from rounds.text.cleaning import long_day

    last = read.last_round_day(at.book)
    if last is not None and at.today < last:
        raise RoundsError(record_sentences.clock_behind(long_day(at.today), long_day(last)))


def _act_of(words: tuple[str, ...]) -> Act:
    """The act that is typed first. Raises BadAct, and where it is typed second says in which order it goes."""
    from rounds.acts import shared_act_sentences
    from rounds.acts.act import BadAct
    from rounds.acts.fields import FieldError
    from rounds.acts.registry import all_acts, called_like, known

    first, second = words[:2]
    act = second if second in all_acts() else called_like(second)
    if first in all_acts() or not act:
        return known(first)
    refusal = shared_act_sentences.act_comes_first(act, clean(first, 60))
    raise BadAct("record", [FieldError.of("act", refusal)])


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
            slips.append(FieldError(field[1], record_sentences.GIVEN_TWICE, record_sentences.GIVE_IT_ONCE))
        else:
            typed[field[1]] = field[2]
    if slips:
        raise BadAct(f"record {act}", slips)
    return " ".join(which), typed


def _agreed(e: RecordActEntry, field: str, text: str) -> RecordActEntry:
    """The same, sure of it: after a yes on a terminal. Elsewhere nobody can be asked."""
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        raise RoundsError(record_sentences.say_yes(e.act, field, text))

    if not click.confirm(clean(text, 400), err=True, default=False):
        raise RoundsError(record_sentences.NOTHING_RECORDED)
    return e._replace(sure=True)


def _undo(given: CliContext, words: tuple[str, ...], form: str, keeper: str, today: str | None) -> None:
    from rounds.records.entries import UndoActEntry
    from rounds.store import recording as store
    from rounds.store.ids import Ids, now_ms

    if len(words) > 1 or (words and not re.fullmatch("[0-9]{1,18}", words[0])):
        raise RoundsError(record_sentences.no_number(" ".join(words)))
    with writing(given, _day(today)) as at:
        uid = _numbered(at.book, int(words[0])) if words else b""
        done = store.take_back(
            at.book, UndoActEntry(Ids().new(), uid, at.today, now_ms(), _keeper(at, keeper))
        )
        _open_again(at.book, done)
        _show(at.book, done, form)
    tell(record_sentences.taken_back(done.undoes))


def _open_again(book: Book, undo: Recorded) -> None:
    """Open again what had ended with the act that was taken back."""
    from rounds.records.entries import SetActionEntry
    from rounds.store.apply_entries import apply
    from rounds.store.ended_actions import ended_with
    from rounds.store.read_acts import of_id

    taken = of_id(book, undo.undoes)
    ended = ended_with(book, taken.uid) if taken is not None else []
    if ended:
        with book.writing():
            apply(book, [SetActionEntry(a, b"", undo.at_ms, undo.keeper, "withdrawn") for a in ended])


def _numbered(book: Book, number: int) -> bytes:
    from rounds.store.read_acts import of_id

    found = of_id(book, number)
    if found is None:
        raise RoundsError(record_sentences.no_act(number))
    return found.uid


def _history(given: CliContext, which: str, form: str, since: str | None, *, changes: bool) -> None:
    from rounds.commands.options import day
    from rounds.reports.act_reports import history_report
    from rounds.store import read

    with reading(given) as at:
        concerns = _which(at.ledger, which) if which else {}
        first = day(since, "--since", at.today) if since else None
        found = read.acts(at.book, since=first, **concerns)
    print_document(history_report(found, at.ledger, changes=changes), form)


def _which(books: Ledger, which: str) -> dict[str, int]:
    """``{"box": 3}`` or ``{"animal": 7}``: a box's code or number goes first."""
    from rounds.acts.act import BadAct
    from rounds.acts.fields import FieldError, ref

    slips = []
    for table in ("enclosure", "animal"):
        try:
            return {table: ref(table, which, books)}
        except ValueError as wrong:
            slips.append(FieldError(table, str(wrong), getattr(wrong, "hint", "")))
    raise BadAct("record history", slips)


def _show(book: Book, done: Recorded, form: str) -> Ledger:
    """Print what was recorded; the books as they are now."""
    from rounds.reports.act_reports import recorded_report
    from rounds.store.ledger_store import load

    ledger = load(book)
    print_document(recorded_report(done, ledger), form)
    return ledger


def _cautioned(book: Book, caution: str) -> bool:
    """Whether an act with this caution was recorded before, so that it has been shown."""
    from rounds.acts.registry import all_acts
    from rounds.store.read_acts import any_of

    return any_of(book, [a.id for a in all_acts().values() if a.caution == caution])


def _day(typed: str | None) -> int | None:
    from rounds.commands.options import round_day_typed

    return round_day_typed(typed) if typed else None


def _keeper(at: BookReader, name: str) -> str:
    if not name.isprintable():
        raise RoundsError(record_sentences.NO_NAME)
    return name or at.keeper
