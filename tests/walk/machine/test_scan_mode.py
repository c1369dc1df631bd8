"""Scanned labels, the numbered menu and what a pad has instead of backspace, on the pure machine."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.keys.scan_code import MOST
from rounds.records.entries import NOTE
from rounds.records.observations import Action
from rounds.walk.machine import steps
from rounds.walk.machine.mode import Walking
from rounds.walk.machine.press import press
from rounds.walk.machine.state import DueHere, Earlier, OlderAct, Put, RecordAct, State
from rounds.walk.machine.steps import start
from tests.walk.machine.desk import CARD_KEYS, LETTERS, PAD, SmallDesk, half_typed
from tests.walk.machine.every_mode import every_mode
from tests.walk.machine.ways_into_modes import WAYS, keys_into

ACTION = Action(b"a" * 16, 1, "one", "today", "why", "this", 700_000)
PAST = (Earlier(b"e" * 16, 700_000, {"moisture": "dry", NOTE: "old"}),)
OLDER = OlderAct(b"o" * 16, "sexed", "UMBER/3", (("how", "by spot"), ("mark", "red")), "1 Mar: sexed")
TOLD = {
    "walk": (),
    "action": (),
    "card": ("2",),
    "weighing": (),
    "series": ("4", "2", "space", "1", "enter"),
    "sure": ("2", "1", "1", *"odd", "enter"),
    "acting": ("1",),
    "older": ("2",),
    "due": (),
}
"""What a way into a mode is told in the small house, which has one action and two acts."""


class Desk(SmallDesk):
    def __init__(self, pad: bool = False) -> None:
        super().__init__(past=PAST, open_=(ACTION,))
        self.older = (OLDER,)
        if pad:
            self.commands, self.card_keys = dict(PAD), dict(CARD_KEYS["numbers"])


PLACES = {
    "half typed": ("1", "1", "7"),
    "a code half typed": ("g", "T"),
    "correcting": ("c", "1"),
    "correcting, half typed": ("c", "1", "down", "down", "down", "down"),
    "a reason half typed": ("p", "3", "enter", *"late"),
    "card, a word asked for": ("y", "2", "1"),
    "card, typed": ("y", "2", "1", "1", *"odd"),
    "card, a count": ("y", "2", "1", "1", *"odd", "="),
    "summary": ("v",),
}
"""More that a scan can come into, without a mode of its own."""
NOT_HERE = ("pick", "menu", "left", "series", "work")
"""Modes of two actions, of a layout with a menu, of a walk that takes no more keys, of weighing, of due work."""
INTO = {**{mode: keys_into(mode, LETTERS, TOLD) for mode in WAYS if mode not in NOT_HERE}, **PLACES}


def typed(keys, desk, state=None):
    state = start(State(), desk) if state is None else state
    effects = []
    for key in keys:
        state, more = press(state, key, desk)
        effects += more
    return state, effects


def blanks(text):
    """As a terminal's keys."""
    return ["space" if c == " " else c for c in text]


def recorded(state: State):
    return state.looks, state.corrected, state.steps


def test_every_mode_has_a_way_in() -> None:
    assert set(WAYS) == set(every_mode())
    for mode in WAYS:
        desk = Desk(pad=mode == "menu")
        if mode == "pick":
            desk.open_ = (ACTION, ACTION._replace(uid=b"b" * 16))
        if mode == "work":
            desk.open_, desk.due = (), (DueHere("first search", "search"), DueHere("look again"))
        desk.weighs = mode == "series"
        assert typed(keys_into(mode, desk.commands, TOLD), desk)[0].mode.name == mode


@pytest.mark.parametrize("where", INTO)
@pytest.mark.parametrize("code", ["2", "TL-002", "tl-002"])
def test_a_scan_leads_there_from_any_mode_and_records_nothing(where: str, code: str) -> None:
    desk = Desk()
    before, _ = typed(INTO[where], desk)
    after, effects = typed(("tab", *code, "enter"), desk, before)
    assert (after.at, after.mode.name, half_typed(after), after.earlier) == (1, "walk", "", None)
    assert recorded(after) == recorded(before)
    assert not [e for e in effects if isinstance(e, Put)]
    assert after.message.startswith("scanned TL-002")


@pytest.mark.parametrize(
    ("where", "said"),
    [
        ("half typed", "jelly given 17 was only half typed and is not saved"),
        ("skip", "it is not skipped"),
        ("why", "nothing is put off"),
        ("card, typed", "nothing is recorded"),
        ("sure", "nothing is recorded"),
    ],
)
def test_what_a_scan_breaks_off_is_said(where: str, said: str) -> None:
    for code in ("TL-002", "TL-9"):
        after, _ = typed((*INTO[where], "tab", *code, "enter"), Desk())
        assert after.message.endswith(said) or (code == "TL-9" and after.mode.name == "card")
    again, _ = typed((*INTO[where], "tab", "T", "tab", *"TL-002", "enter"), Desk())
    assert again.message.endswith(said), "also when the scan itself was cut off, and comes again"


@pytest.mark.parametrize("where", INTO)
@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("TL-999", "no box 'TL-999' on this walk: nothing done"),
        ("9" * (MOST + 20), "is too long for a box's code: nothing done"),
        ("", "nothing was scanned: nothing done"),
        ("https://x/?q=1 2", "no box 'https://x/?q=1 2' on this walk: nothing done"),
        ("TL 012 3", "no box 'TL 012 3' on this walk: nothing done"),
        ("  ", "nothing was scanned: nothing done"),
        (f"TL-002{' ' * MOST}9", "is too long for a box's code: nothing done"),
    ],
)
def test_a_scan_of_nowhere_moves_and_records_nothing(where: str, code: str, said: str) -> None:
    desk = Desk()
    before, _ = typed(INTO[where], desk)
    after, effects = typed(("tab", *blanks(code), "enter"), desk, before)
    assert (after.at, after.earlier) == (before.at, before.earlier)
    # A card is left for a box only: it stands there with all that was told and typed.
    assert after.mode == (before.mode if before.mode.name == "card" else Walking())
    assert recorded(after) == recorded(before)
    assert effects == []
    assert said in after.message


def test_the_scan_key_pressed_by_mistake_loses_nothing_of_a_card() -> None:
    before, _ = typed(INTO["card, typed"], Desk())
    for keys in (("tab", "escape"), ("tab", "tab", "enter")):
        after, _ = typed(keys, Desk(), before)
        assert after.mode == before.mode
    cut_off, _ = typed(("tab", "T", "left"), Desk(), before)
    assert cut_off.mode == Walking(), "what may come of it yet is no answer of a card"


def test_blanks_around_a_code_do_not_matter_and_those_of_a_code_are_its_own() -> None:
    after, _ = typed(("tab", "space", *"TL-002", "space", "enter"), Desk())
    assert (after.at, after.message) == (1, "scanned TL-002")


def test_a_scan_of_where_one_stands_says_so() -> None:
    after, _ = typed(("tab", *"TL-001", "enter"), Desk())
    assert (after.at, after.message) == (0, "TL-001 is where you stand")


@pytest.mark.parametrize("code", ["TL-002", "TL-999", "x" * 60])
def test_an_enter_that_the_scanner_adds_confirms_nothing_and_one_more_does(code: str) -> None:
    after, effects = typed(("tab", *code, "enter", "enter"), Desk())
    assert not [e for e in effects if isinstance(e, Put)]
    assert "taken for the scanner's" in after.message
    _, effects = typed(("enter", "enter"), Desk(), after)
    assert [e for e in effects if isinstance(e, Put)]
    _, effects = typed(("tab", *code, "enter", "2", "space"), Desk())
    assert [e for e in effects if isinstance(e, Put)], "the control: any other key means what it always does"


@pytest.mark.parametrize("where", INTO)
@pytest.mark.parametrize("key", ["left", "backspace", "enter"])
def test_a_scan_cut_off_is_left_by_a_key_that_no_code_has_and_types_nothing(where: str, key: str) -> None:
    desk = Desk()
    before, _ = typed(INTO[where], desk)
    after, effects = typed(("tab", "T", "L", "-", key), desk, before)
    back_at_the_card = before.mode.name == "card" and key == "enter"
    assert after.mode == (before.mode if back_at_the_card else Walking())
    assert after.at == before.at
    assert effects == []
    assert "nothing done" in after.message
    assert steps.cells_here(after, desk).get(NOTE) == steps.cells_here(before, desk).get(NOTE)


KEYS = st.lists(
    st.sampled_from(
        [
            *"0123456789",
            "space",
            "enter",
            "backspace",
            "b",
            "s",
            "g",
            "n",
            "u",
            "l",
            ".",
            "c",
            "d",
            "p",
            "v",
            "?",
            "y",
            "tab",
            "m",
            "é",
        ]
    ),
    max_size=40,
)
PAD_KEYS = st.lists(st.sampled_from([*"0123456789", "enter", ".", "+", "-", "*", "/", "tab"]), max_size=40)


@given(KEYS, st.sampled_from(["3", "TL-003", "tl-999", "", "y" * 50]))
def test_from_anywhere_at_all_a_scan_ends_on_the_walk_and_records_nothing(keys: list[str], code: str) -> None:
    desk = Desk()
    before, _ = typed(keys, desk)
    after, effects = typed(("tab", *code, "enter"), desk, before)
    assert after.mode.name == "walk"
    assert after.at == (2 if code in ("3", "TL-003") else before.at)
    assert recorded(after) == recorded(before)
    assert not [e for e in effects if isinstance(e, Put)]


@given(PAD_KEYS)
def test_a_pads_own_keys_lead_out_of_every_mode_and_quit(keys: list[str]) -> None:
    """Enter ends a scan, a note or a question; what is half typed is rubbed out; then the menu quits."""
    desk = Desk(pad=True)
    state, _ = typed([k for k in keys if k != "/"] if desk.earlier(0) == () else keys, desk)
    for key in ("enter", *["*"] * 60):
        if state.mode.name in ("walk", "left") and not half_typed(state):
            break
        state, _ = typed((key,), desk, state)
    assert state.mode.name in ("walk", "left")
    state, _ = typed(("/", "0", "6"), desk, state._replace(pages=()))
    assert state.mode.name == "left"


@given(PAD_KEYS, st.integers(0, 40))
def test_where_a_burst_is_cut_changes_nothing(keys: list[str], cut: int) -> None:
    desk = Desk(pad=True)
    whole, effects = typed(keys, desk)
    first, before = typed(keys[:cut], desk)
    second, after = typed(keys[cut:], desk, first)
    assert (whole, effects) == (second, [*before, *after])


def test_the_menus_digits_do_what_keys_of_their_own_do() -> None:
    """Each entry against the letters that give the same command."""
    letters = {c: k for k, c in SmallDesk().commands.items()}
    for key, command in PAD.items():
        if key[0] == "/" and key != "/" and command not in ("pages", "find"):
            by_menu, one = typed(tuple(key), Desk(pad=True))
            by_letter, other = typed((letters[command],), Desk())
            assert by_menu._replace(message="") == by_letter._replace(message="")
            assert one == other


@pytest.mark.parametrize(
    ("keys", "mode", "buffer"),
    [
        (("1", "1", "7", "*"), "walk", "1"),
        (("1", "1", "7", "*", "*"), "walk", ""),
        (("/", "3", "1", "2", "*"), "go", "1"),
        (("/", "3", "1", "*", "*"), "walk", ""),
        (("/", "5", "1", "2", "*"), "days", "1"),
        (("/", "5", "1", "*", "*"), "walk", ""),
        (("/", "5", "1", "enter", "4", "*"), "why", ""),
        (("/", "5", "1", "enter", "*"), "walk", ""),
        ((".", "2", "1", "1", "5", "*"), "card", ""),
        ((".", "2", "1", "*"), "card", ""),
        ((".", "2", "1", "*", "*"), "walk", ""),
        (("/", "0", "5", "4", "*"), "note", "4*"),
    ],
)
def test_the_sign_that_undoes_rubs_out_what_is_half_typed(keys, mode: str, buffer: str) -> None:
    """But in a note: words hold any sign, and are typed on a keyboard."""
    state, _ = typed(keys, Desk(pad=True))
    assert (state.mode.name, half_typed(state)) == (mode, buffer)


def test_a_ready_reason_is_a_digit_and_any_words_are_one_too() -> None:
    for typed_, why in (
        ("1", "nothing here for it"),
        ("2", "watching it"),
        ("2 days", "2 days"),
        ("2late", "late"),
        ("late", "late"),
    ):
        keys = ("p", "3", "enter", *("space" if c == " " else c for c in typed_), "enter")
        _, effects = typed(keys, Desk())
        assert effects[-1].after.why == why
    state, effects = typed(("p", "3", "enter", "9", "enter"), Desk())
    assert (state.mode.name, effects) == ("why", [])
    assert "no reason under 9" in state.message


@pytest.mark.parametrize("key", ["²", "٣", "①"])
def test_a_sign_that_looks_like_a_digit_is_none(key: str) -> None:
    for keys in (
        (),
        ("2",),
        ("s",),
        (".",),
        ("y",),
        ("y", "2"),
        ("y", "2", "1"),
        ("c",),
        ("p",),
        ("g",),
        ("v",),
    ):
        before, _ = typed(keys, Desk())
        after, effects = typed((key,), Desk(), before)
        assert not [e for e in effects if isinstance(e, Put) and e.after == 2]
        assert after.mode.name in ("walk", before.mode.name)


def test_a_letter_never_confirms_what_is_doubted():
    """Of all keys it is the one that opens the list of acts which is pressed by mistake."""
    desk = Desk()
    state, _ = typed(INTO["sure"], desk)
    assert state.mode.name == "sure"
    for key in ("y", "Y", "enter", "space"):
        _after, effects = press(state, key, desk)
        assert not [e for e in effects if isinstance(e, RecordAct)], key
    _, effects = press(state, "1", desk)
    assert [e for e in effects if isinstance(e, RecordAct)]
