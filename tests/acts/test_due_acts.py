"""Due work ticked off and put off by acts, whether the books hold it or it was computed."""

from __future__ import annotations

from random import Random

import pytest

from rounds import config
from rounds.acts import due_sentences, registry
from rounds.acts.act import ConfirmationRequired
from rounds.acts.due_acts import OWN_ACT, SEARCHES, labels, open_at, waiting
from rounds.due import work
from rounds.due import work as due
from rounds.due.kinds import DUE_KINDS, DueWork
from rounds.due.nearby import near
from rounds.due.shown_work import shown
from rounds.husbandry import lock_sentences
from rounds.records import enclosure_view
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import Due, Enclosure, Lock
from rounds.settings.layers import layers
from rounds.values.spans import LAST, Span
from tests.acts.books import TODAY, house, ref
from tests.acts.random_acts import attempt

CONFIG = config.read(layers(None)[:1])
SPECIES = CONFIG.species
SETTINGS = config.for_acts(CONFIG)


def plan(
    ledger: Ledger, act: str, box: str, *, today: int = TODAY, sure: bool = False, **typed: str
) -> registry.PlannedAct:
    return registry.plan(act, box, typed, ledger, today, "Ferrow", sure=sure, settings=SETTINGS)


def after(ledger: Ledger, act: str, box: str, *, today: int = TODAY, **typed: str) -> Ledger:
    """The books after an act one is sure of; taken back, they are what they were."""
    made = plan(ledger, act, box, today=today, sure=True, **typed)
    found = ledger.after(made.changes)
    assert found.after(registry.reversal(made.changes)) == ledger
    return found


def slips(ledger: Ledger, act: str, box: str, **typed: str) -> dict[str, str]:
    with pytest.raises(registry.BadAct) as e:
        plan(ledger, act, box, sure=True, **typed)
    return {s.field: str(s) for s in e.value.slips}


def works(ledger: Ledger, box: str, today: int = TODAY) -> list[DueWork]:
    return open_at(ledger, SPECIES, ref(ledger, "enclosure", box), today)


def kinds(ledger: Ledger, box: str, today: int = TODAY) -> list[str]:
    return [w.kind for w in works(ledger, box, today)]


def asked(
    what: str = "weigh the tub", first: int = 0, last: int = 2, box: str = "T-12", to: Ledger | None = None
) -> Ledger:
    draft = Draft(to or house())
    id_ = ref(draft.ledger, "enclosure", box)
    draft.add(
        Due(
            enclosure=id_,
            what=what,
            earliest=TODAY + first,
            latest=TODAY + last,
            why="because",
            asked=True,
        )
    )
    return draft.ledger


def test_computed_work_is_ticked_off_once_and_its_key_stays() -> None:
    books = house()
    [search] = [w for w in works(books, "T-04") if w.kind == "first-search"]
    assert search.row is None
    done = after(books, "due-done", "T-04", work="first search")
    assert "first-search" not in kinds(done, "T-04")
    [now] = [w for w in work.works(done, SPECIES, TODAY) if w.key == search.key]
    assert (now.done, now.row is None) == (TODAY, False)
    assert sum(w.kind == "first-search" for w in work.works(done, SPECIES, TODAY)) == 1, "nothing is double"


def test_work_the_books_hold_is_ticked_in_its_own_row() -> None:
    books = asked()
    done = after(books, "due-done", "T-12", on="yesterday")
    assert [due.done for due in done.rows(Due, Due.what.is_("weigh the tub"))] == [TODAY - 1]
    assert len(list(done.rows(Due))) == len(list(books.rows(Due)))
    assert works(done, "T-12") == []


def test_work_put_off_is_hidden_until_its_day_and_says_why() -> None:
    for books, box, what in ((house(), "T-04", "first search"), (asked(), "T-12", "weigh the tub")):
        id_ = ref(books, "enclosure", box)
        off = after(books, "due-off", box, work=what, until="+3", because="visitors")
        [held] = [w for w in works(off, box) if w.what == what]
        assert (held.off_until, held.off_why) == (TODAY + 3, "visitors")
        for day, seen in ((TODAY, False), (TODAY + 2, False), (TODAY + 3, True)):
            there = shown(off, work.works(off, SPECIES, day), day, day).get(id_, ())
            assert (what in [d.what for d in there]) is seen, day
        again = after(off, "due-off", box, work=what, until="+9", because="still there")
        assert [w.off_until for w in works(again, box) if w.what == what] == [TODAY + 9]


def test_with_one_work_due_it_need_not_be_named_and_with_several_it_must() -> None:
    one = asked()
    assert works(after(one, "due-done", "T-12"), "T-12") == []
    two = asked("wipe the lid", to=one)
    found = slips(two, "due-done", "T-12")
    assert found == {"work": "work: is needed. Due there: weigh the tub; wipe the lid."}
    assert [w.what for w in works(after(two, "due-done", "T-12", work="wipe  the LID"), "T-12")] == [
        "weigh the tub"
    ]


def test_work_of_the_same_words_is_told_apart_by_its_window_or_animal() -> None:
    books = asked("weigh the tub", 4, 5, to=asked())
    names = labels(books, works(books, "T-12"))
    assert list(names) == [
        "weigh the tub (18 May 2026 to 20 May 2026)",
        "weigh the tub (22 May 2026 to 23 May 2026)",
    ]
    assert (
        due_sentences.due_more_than_once(
            "weigh the tub",
            ["weigh the tub (18 May 2026 to 20 May 2026)", "weigh the tub (22 May 2026 to 23 May 2026)"],
        ).message
        in slips(books, "due-done", "T-12", work="weigh the tub")["work"]
    )
    left = after(books, "due-done", "T-12", work=list(names)[1])
    assert [w.window.earliest for w in works(left, "T-12")] == [TODAY]
    by_kind = after(house(), "due-done", "T-04", work="FIRST-search")
    assert "first-search" not in kinds(by_kind, "T-04")
    by_key = after(books, "due-done", "T-12", work=works(books, "T-12")[0].key)
    assert [w.window.earliest for w in works(by_key, "T-12")] == [TODAY + 4]
    twins = asked(to=asked(to=asked()))
    assert len(labels(twins, works(twins, "T-12"))) == 3, "even the very same"


def test_an_act_of_its_own_is_pointed_to_and_a_lock_is_asked_about() -> None:
    books = house()
    with pytest.raises(ConfirmationRequired) as e:
        plan(books, "due-done", "T-04", work="first search")
    assert due_sentences.only_ticked_off("first search", ["searched"]) in e.value.text
    draft = Draft(books)
    draft.add(
        Lock(
            enclosure=ref(books, "enclosure", "T-04"),
            forbids="dig",
            from_day=TODAY - 1,
            until=Span(LAST - 9, LAST - 9),
            reason="eggs below",
        )
    )
    with pytest.raises(ConfirmationRequired) as e:
        plan(draft.ledger, "due-done", "T-04", work="first search")
    assert due_sentences.withheld("do not dig through 22 Dec (eggs below)") in e.value.text
    assert "eggs below" in e.value.text
    assert plan(asked(), "due-done", "T-12").changes, "a keeper's own request is nobody else's: no question"


def test_every_kind_with_an_act_of_its_own_names_one_that_there_is() -> None:
    assert set(OWN_ACT) <= set(DUE_KINDS)
    for names in OWN_ACT.values():
        for name in names:
            assert name in registry.all_acts()


@pytest.mark.parametrize(
    ("act", "box", "typed", "field", "said"),
    [
        ("due-done", "T-99", {}, "enclosure", "there is no box `T-99`"),
        ("due-done", "T-15", {}, "enclosure", due_sentences.nothing_due("T-15").message),
        ("due-done", "T-04", {"work": "frist search"}, "work", "Did you mean `first search`?"),
        ("due-done", "T-04", {"work": "first search", "on": "+1"}, "on", "has not come yet"),
        ("due-done", "T-04", {"work": "first search", "on": "2026-06-17"}, "on", "has not come yet"),
        ("due-done", "T-04", {"wrk": "first search"}, "wrk", "Did you mean `work`?"),
        ("due-off", "T-04", {"work": "first search", "because": "x"}, "until", "is needed"),
        ("due-off", "T-04", {"work": "first search", "until": "+3"}, "because", "is needed"),
        (
            "due-off",
            "T-04",
            {"work": "first search", "until": "today", "because": "x"},
            "until",
            "is not after today",
        ),
        (
            "due-off",
            "T-04",
            {"work": "first search", "until": "yesterday", "because": "x"},
            "until",
            "is not after today",
        ),
        (
            "due-off",
            "T-04",
            {"work": "first search", "until": "9999-12-31", "because": "x"},
            "until",
            due_sentences.for_ever("31 Dec 9999").message,
        ),
        (
            "due-off",
            "T-04",
            {"work": "first search", "until": "May 2027", "because": "x"},
            "until",
            "more than one day",
        ),
        (
            "due-off",
            "T-15",
            {"until": "+3", "because": "x"},
            "enclosure",
            due_sentences.nothing_due("T-15").message,
        ),
    ],
)
def test_what_cannot_be_recorded_says_the_field_and_what_to_do(
    act: str, box: str, typed: dict[str, str], field: str, said: str
) -> None:
    assert said in slips(house(), act, box, **typed)[field]


def test_ticking_off_before_its_time_is_asked_about_and_before_its_cause_refused() -> None:
    books = asked(first=2, last=5)
    with pytest.raises(ConfirmationRequired) as e:
        plan(books, "due-done", "T-12")
    assert due_sentences.before_it_was_due("18 May 2026", "20 May 2026 to 23 May 2026") in e.value.text
    held = asked("first search", 0, 9, "T-04")
    assert (
        due_sentences.before_what_it_follows_from(
            "1 Jan 2020", "18 May 2026 to 27 May 2026", "because"
        ).message
        in slips(held, "due-done", "T-04", work="first search", on="2020-01-01")["on"]
    )


def test_putting_off_the_same_again_is_nothing_to_record() -> None:
    off = after(asked(), "due-off", "T-12", until="+3", because="visitors")
    assert "already" in slips(off, "due-off", "T-12", until="+3", because="visitors")["until"]


# The part of the books that the work of one enclosure follows from


@pytest.mark.parametrize("seed", range(6))
def test_work_at_an_enclosure_is_the_same_from_the_part_as_from_the_whole(seed: int) -> None:
    random = Random(seed)
    ledger = house()
    every = list(registry.all_acts())
    for n in range(60):
        tried = attempt(random.choice(every), ledger, random.choice, n + 1)
        if tried.recorded is not None:
            ledger = ledger.after(tried.recorded.changes)
        if n % 10:
            continue
        whole = work.works(ledger, SPECIES, TODAY)
        for enclosure in ledger.rows(Enclosure):
            assert work.at(
                work.works(near(ledger, {enclosure.id}), SPECIES, TODAY), enclosure.id, LAST
            ) == work.at(whole, enclosure.id, LAST)


def test_the_part_is_smaller_and_any_smaller_gives_other_work() -> None:
    """The control of the comparison: without what is in the enclosure the answers differ."""
    books = asked()
    id_ = ref(books, "enclosure", "T-12")
    assert work.at(work.works(near(books, {id_}), SPECIES, TODAY), id_, LAST)
    less = near(books, {id_}).narrowed({"due": {}})
    assert work.at(work.works(less, SPECIES, TODAY), id_, LAST) != work.at(
        work.works(books, SPECIES, TODAY), id_, LAST
    )
    assert len(list(near(books, {id_}).rows(Enclosure))) < len(list(books.rows(Enclosure)))


# --- a search brought forward --------------------------------------------------------------


def search_due(ledger: Ledger, box: str = "T-03", today: int = TODAY) -> DueWork:
    return next(w for w in works(ledger, box, today) if w.kind in SEARCHES)


@pytest.fixture
def laid_out() -> Ledger:
    """A female laid out today: her first search is four weeks off, and her eggs are left alone until then."""
    return after(house(), "to-laying", "T-02", to="T-11")


def test_a_search_brought_forward_moves_with_its_reason(laid_out: Ledger) -> None:
    before = search_due(laid_out, "T-11")
    assert before.window.earliest > TODAY + 3
    sooner = after(laid_out, "search-sooner", "T-11", because="water stands at the base")
    [found] = [w for w in works(sooner, "T-11") if w.kind in SEARCHES]
    assert found.window[:2] == (TODAY + 1, TODAY + 1)
    assert found.key == before.key, "it is the same work"
    assert found.why.startswith(before.why), "what it follows from is kept"
    assert found.why.endswith("water stands at the base")
    assert due.at(due.works(sooner, SPECIES, TODAY + 1), ref(sooner, "enclosure", "T-11"), TODAY + 1)


def test_from_that_day_on_its_eggs_need_not_be_left_alone(laid_out: Ledger) -> None:
    with pytest.raises(ConfirmationRequired, match="dig"):
        plan(laid_out, "search", "T-11", how="complete", eggs="3", today=TODAY + 2)
    sooner = after(laid_out, "search-sooner", "T-11", because="water", to="+2")
    assert not search_due(sooner, "T-11", TODAY + 2).withheld
    plan(sooner, "search", "T-11", how="complete", eggs="3", today=TODAY + 2)
    with pytest.raises(ConfirmationRequired, match="dig"):
        plan(sooner, "search", "T-11", how="complete", eggs="3", today=TODAY + 1)
    at_once = after(laid_out, "search-sooner", "T-11", because="water", to="today")
    plan(at_once, "search", "T-11", how="complete", eggs="3")


def test_a_search_that_was_put_off_and_is_brought_forward_is_put_off_no_more(laid_out: Ledger) -> None:
    off = after(laid_out, "due-off", "T-11", work="first search", until="+60", because="away")
    sooner = after(off, "search-sooner", "T-11", because="water")
    assert not search_due(sooner, "T-11").put_off(TODAY)


def test_a_search_is_never_brought_forward_to_a_later_day(laid_out: Ledger) -> None:
    sooner = after(laid_out, "search-sooner", "T-11", because="water")
    assert "already" in slips(sooner, "search-sooner", "T-11", because="water", to="+5")["to"]
    assert "is over" in slips(laid_out, "search-sooner", "T-11", because="water", to="2026-05-16")["to"]


def test_where_the_species_file_does_not_say_when_a_search_is_planned_all_the_same() -> None:
    nothing_known = SETTINGS._replace(species={})
    draft = Draft(house())
    box = ref(draft.ledger, "enclosure", "T-04")
    draft.set(Enclosure.stage_since, box, Span(TODAY - 3, TODAY - 3))
    typed = {"because": "nobody seen"}
    made = registry.plan("search-sooner", "T-04", typed, draft.ledger, TODAY, settings=nothing_known)
    sooner = draft.ledger.after(made.changes)
    [found] = [w for w in open_at(sooner, {}, box, TODAY) if w.kind in SEARCHES]
    assert (found.window[:2], found.why) == ((TODAY + 1, TODAY + 1), "nobody seen")


def test_a_lock_that_is_ticked_off_on_its_last_day_holds_no_more() -> None:
    books, draft = house(), Draft(house())
    box = ref(books, "enclosure", "T-01")
    last = Span(TODAY, TODAY)
    for what, until in (("move", last), ("wet", None)):
        draft.add(Lock(enclosure=box, forbids=what, from_day=TODAY - 9, until=until, reason="paint"))
    assert {k.forbids for k in enclosure_view.locks(draft.ledger, box, TODAY)} == {("move",), ("wet",)}
    done = after(draft.ledger, "due-done", "T-01", work="lock ends")
    assert [k.forbids for k in enclosure_view.locks(done, box, TODAY)] == [("wet",)]
    assert "lock-end" not in kinds(done, "T-01")


def test_why_work_has_to_wait_is_known_of_the_act_that_does_it() -> None:
    held = DueWork("x", "substrate", "", 1, None, Span(TODAY, TODAY), None, "", withheld="do not dig")
    far = held._replace(window=Span(TODAY + 30, TODAY + 40))
    for act, works_, cell, why in (
        ("rebed", [held], False, ("do not dig",)),
        ("rebed", [held, held], True, ("do not dig", lock_sentences.MAY_BE_IN_CELL)),
        ("rebed", [], True, (lock_sentences.MAY_BE_IN_CELL,)),
        ("rebed", [far], False, ()),
        ("mating-seen", [held], True, ()),
    ):
        assert waiting(act, works_, TODAY, likely_cell=cell) == why
