"""Parse a key layout: which key gives which command of the walk, and what its menu numbers.

A layout may be as small as a number pad: what has no key of its own is then reached through
a numbered menu. Once read, both are keys in one table: ``s`` gives ``skip``, or ``/1`` does,
the menu's key and a digit after it (``/01`` on its second page).

A keeper's layout may be older than a command. It is in force all the same: the command comes
after what its menu lists, and in a layout without a menu only line mode gives it, by its word.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from rounds.husbandry.readings import Vocabulary
from rounds.keys import layout_sentences
from rounds.keys.card_commands import CARD_COMMANDS, STANDARD
from rounds.keys.commands import COMMANDS
from rounds.keys.key_names import NAMED, SAME
from rounds.keys.menu_keys import chord
from rounds.keys.scan_code import IN_CODES, can_be_scanned
from rounds.named_tuple import NamedTuple
from rounds.problems import BadInput, Problem, RoundsError, nearest
from rounds.settings.config_fields import Fields
from rounds.settings.document import Document


class Layout(NamedTuple):
    """A layout by its name: the command by key, for the menu's entries by the keys that lead to them.

    ``card`` are the commands of a card, by key.
    """

    name: str
    commands: Mapping[str, str]
    card: Mapping[str, str] = STANDARD


def layouts(documents: Sequence[Document], vocabulary: Vocabulary) -> dict[str, Layout]:
    """Layouts by name; a later file replaces one of the same name. Raises BadInput with every problem."""
    found: dict[str, Layout] = {}
    problems: list[Problem] = []
    for doc in documents:
        try:
            one = layout(doc, vocabulary)
            found[one.name] = one
        except BadInput as bad:
            problems += bad.problems
    if problems:
        raise BadInput(problems)
    return found


def chosen(known: Mapping[str, Layout], name: str, option: str) -> Layout:
    """The layout of this name. Raises RoundsError with the nearest name."""
    if name in known:
        return known[name]
    near = nearest(name, known) or layout_sentences.layouts_are(tuple(sorted(known)))
    raise RoundsError(layout_sentences.no_layout(option, name, near))


def layout(doc: Document, vocabulary: Vocabulary) -> Layout:
    """One layout.

    Raises BadInput with every problem: an unknown command, a key taken twice or that no
    terminal sends, nothing that leads to a command no walk can do without, a menu without its key.
    """
    problems: list[Problem] = []
    top = Fields(doc, (), "key layout", problems)
    top.only(("layout", "commands", "menu", "card"))
    name = top.get("layout", str, "", required=True)
    if "commands" not in top.data:
        raise BadInput([*problems, doc.problem((), layout_sentences.NO_COMMANDS)])
    commands = Fields(doc, ("commands",), "commands", problems)
    commands.only(COMMANDS)
    keys = _keys(commands, vocabulary)
    menu = _menu(top) if "menu" in top.data else ()
    opener = next((k for k, c in keys.items() if c == "menu"), "")
    if menu and not opener:
        top.problem(("menu",), layout_sentences.NO_KEY_FOR_MENU, layout_sentences.ADD_MENU_KEY)
    if opener and not menu and "menu" not in top.data:
        commands.problem(("menu",), layout_sentences.NO_MENU, layout_sentences.LIST_COMMANDS)
    lacking = [c for c in COMMANDS if c != "menu" and c not in keys.values() and c not in menu]
    if opener:  # what a layout lists comes first: a command that is newer moves no entry of its menu
        menu = (*menu, *(c for c in lacking if not COMMANDS[c].needs_own_key))
    for command in lacking:
        wanted = COMMANDS[command].in_every_layout and command not in menu
        if wanted and not commands.data.get(command):  # else what is wrong with its key is said already
            commands.problem((), layout_sentences.no_key_gives(command))
    card = _card(Fields(doc, ("card",), "card", problems), keys) if "card" in top.data else STANDARD
    if problems:
        raise BadInput(problems)
    return Layout(name, {**keys, **dict(_chords(opener, menu))}, card)


def _card(fields: Fields, walk: Mapping[str, str]) -> dict[str, str]:
    """The commands of a card by key; one that the layout leaves out has its standard keys, as far as they are free."""
    fields.only(CARD_COMMANDS)
    keys: dict[str, str] = {}
    for command in CARD_COMMANDS:
        for i, key in enumerate(fields.words(command)):
            where = (command, i)
            if key not in NAMED and (len(key) != 1 or not key.isprintable() or key == " "):
                fields.problem(where, layout_sentences.no_key(key), _meant(key))
            elif key.isalnum() and len(key) == 1:
                fields.problem(where, layout_sentences.typed_on_a_card(key))
            elif walk.get(key) == "scan":
                fields.problem(where, layout_sentences.gives_already(key, "scan"))
            elif key in keys:
                fields.problem(where, layout_sentences.gives_already(key, keys[key]))
            else:
                keys[key] = command
    for lacking in CARD_COMMANDS.values():
        if lacking.id in keys.values():
            continue
        free = [k for k in lacking.keys if k not in keys and walk.get(k) != "scan"]
        keys |= dict.fromkeys(free, lacking.id)
        if not free and not fields.data.get(lacking.id):
            fields.problem((), layout_sentences.no_key_gives(lacking.id))
    return keys


def _chords(opener: str, menu: Iterable[str]) -> Iterable[tuple[str, str]]:
    for i, command in enumerate(menu):
        yield chord(opener, i), command


def _menu(top: Fields) -> tuple[str, ...]:
    listed = top.words("menu", [c.id for c in COMMANDS.values() if not c.needs_own_key])
    for i, command in enumerate(listed):
        if command in listed[:i]:
            top.problem(("menu", i), layout_sentences.in_menu_twice(command))
    return listed


def _keys(commands: Fields, vocabulary: Vocabulary) -> dict[str, str]:
    asked = {k.ask_key: k.id for k in vocabulary.kinds.values() if k.ask_key and not k.retired}
    keys: dict[str, str] = {}
    for command in COMMANDS:
        for i, key in enumerate(commands.words(command)):
            where = (command, i)
            if key not in NAMED and (len(key) != 1 or not key.isprintable() or key == " "):
                commands.problem(where, layout_sentences.no_key(key), _meant(key))
            elif key.isdigit():
                commands.problem(where, layout_sentences.digit(key))
            elif key in keys:
                commands.problem(where, layout_sentences.gives_already(key, keys[key]))
            elif key in asked:
                commands.problem(where, layout_sentences.asks_already(key, asked[key]))
            elif command == "scan" and key != "tab" and (len(key) > 1 or can_be_scanned(key)):
                commands.problem(
                    where,
                    layout_sentences.cannot_begin_scan(key),
                    layout_sentences.begins_scan(tuple(IN_CODES)),
                )
            else:
                keys[key] = command
    return keys


def _meant(key: str) -> str:
    if key == " ":
        return layout_sentences.WRITE_SPACE
    if key.casefold() in SAME:
        return layout_sentences.same_as(SAME[key.casefold()])
    return nearest(key, NAMED) or layout_sentences.named_keys(tuple(NAMED))
